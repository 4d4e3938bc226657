"""Job lists and parts lists from a file: first looked at, then added, all of it or nothing."""

from .plan import ImportPlan, ListFiles
from .service import NewCar, import_add, import_preview

__all__ = ["ImportPlan", "ListFiles", "NewCar", "import_add", "import_preview"]

"""What is made elsewhere: suppliers, processes, parts, their route cards, finishing batches and files."""

from .batches import FinishingBatch
from .files import StoredFile
from .operations import Operation, SupplierPromise
from .parts import Material, MaterialVerdict, Part, Process
from .suppliers import Supplier, SupplierClosure

__all__ = [
    "FinishingBatch",
    "Material",
    "MaterialVerdict",
    "Operation",
    "Part",
    "Process",
    "StoredFile",
    "Supplier",
    "SupplierClosure",
    "SupplierPromise",
]

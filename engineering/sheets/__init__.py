"""The kinds of calc sheet: for each, its form, its sum, its words and how its result is shown.

A new kind needs a pure core, a form, a module here that ends in a `SheetKind`, an entry in `KINDS`, and the
templates `engineering/form_KIND.html` and `engineering/result_KIND.html`.
"""

from engineering.sheets.budget import BUDGET
from engineering.sheets.circuit import CIRCUIT
from engineering.sheets.drum import DRUM
from engineering.sheets.filling import FILLING
from engineering.sheets.kind import SheetKind
from engineering.sheets.lines import LINES
from engineering.sheets.loom import LOOM
from engineering.sheets.mesh import MESH
from engineering.sheets.profile import PROFILE
from engineering.sheets.starter import STARTER
from engineering.sheets.tank import TANK
from engineering.sheets.weight import WEIGHT

KINDS: dict[str, SheetKind] = {
    kind.key: kind
    for kind in (TANK, PROFILE, DRUM, MESH, LINES, FILLING, WEIGHT, CIRCUIT, LOOM, STARTER, BUDGET)
}

__all__ = ["KINDS", "SheetKind"]

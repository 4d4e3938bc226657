"""What a kind of calc sheet consists of."""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

from engineering.forms import SheetForm

Inputs = dict[str, Any]
Results = dict[str, Any]

NO_COMPLIANCE = (
    "This sheet does not show compliance. Check with a competent person and the current text of the rules."
)


@dataclass(frozen=True)
class Notes:
    """The words that belong to a result, stored with it so that an old revision prints as it was made."""

    formulas: tuple[str, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    limits: tuple[str, ...]
    cautions: tuple[str, ...]
    rules: tuple[str, ...]

    def stored(self) -> dict[str, list[str]]:
        return {name: list(lines) for name, lines in asdict(self).items()}


@dataclass(frozen=True)
class PartFacts:
    """What a sheet knows of the part that is made from it; None where it does not know."""

    mass_kg: float | None = None
    length_mm: float | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    area_m2: float | None = None  # of the blank, one side


@dataclass(frozen=True)
class SheetKind:
    """One kind of calc sheet.

    `work_out` takes the inputs by field name and gives the results as plain JSON values, with `notes` among
    them; it raises ValidationError by field. `show` takes stored inputs and results and gives what the
    template `result_template` needs, computed from nothing but these two. `facts`, where the sheet is of a
    part, gives what is known of that part from then on. `table`, where the sheet has one that a spreadsheet
    or a dash wants, gives its lines, headings first. `changed`, where a revision has to be told from the one
    before it, takes the inputs of both and gives lines of what is different, for `result_template`.
    """

    key: str
    name: str
    new_words: str
    form: type[SheetForm]
    work_out: Callable[[Inputs], Results]
    show: Callable[[Inputs, Results], dict[str, Any]]
    facts: Callable[[Inputs, Results], PartFacts] | None = None
    table: Callable[[Inputs, Results], list[list[str]]] | None = None
    changed: Callable[[Inputs, Inputs], list[list[str]]] | None = None

    @property
    def has_table(self) -> bool:
        return self.table is not None  # a template would call `table` itself

    @property
    def form_template(self) -> str:
        return f"engineering/form_{self.key}.html"

    @property
    def result_template(self) -> str:
        return f"engineering/result_{self.key}.html"

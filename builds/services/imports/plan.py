"""What an import would add, worked out before anything is written."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import TypeAlias

from builds.importing.faults import Fault
from builds.models import Job
from parts.models import Material, Operation, Part, Process, Supplier


@dataclass(frozen=True)
class ListFiles:
    """The content of the files that somebody sent; at least one of the two."""

    job_list: bytes | None = None
    parts_list: bytes | None = None


@dataclass(frozen=True, eq=False)
class NewJob:
    """A row of a job list that is not on the car yet."""

    row: int
    area_name: str
    title: str
    key: str
    place: str
    hours: tuple[Decimal, Decimal, Decimal]
    people: int
    skill_name: str
    supplier: Supplier | None
    needs_signature: bool
    cautions: tuple[str, ...]
    milestones: tuple[str, ...]
    note: str

    def __str__(self) -> str:
        return self.title

    @property
    def hours_text(self) -> str:
        low, likely, high = (f"{hours.normalize():f}" for hours in self.hours)
        return likely if low == high else f"{low} / {likely} / {high}"


@dataclass(frozen=True, eq=False)
class NewPart:
    row: int
    name: str
    drawing_number: str
    material: Material | None
    quantity: int
    mass_kg: Decimal | None
    size_mm: tuple[int | None, int | None, int | None]
    area_m2: Decimal | None
    features: tuple[str, ...]
    colour_set: str
    note: str

    def __str__(self) -> str:
        return self.name


AnyJob: TypeAlias = Job | NewJob
AnyPart: TypeAlias = Part | NewPart


@dataclass(frozen=True, eq=False)
class NewLine:
    """A line for a route card: of a part that is new, or that the car has already."""

    row: int
    part: AnyPart
    sequence: int
    process: Process
    supplier: Supplier | None
    lead_days: tuple[int, int, int]
    colour: str
    coating_class: str
    specification: str
    masking: str
    sent_on: date | None
    promised_on: date | None


AnyLine: TypeAlias = Operation | NewLine


@dataclass(frozen=True)
class NewLink:
    before: AnyJob
    after: NewJob
    lag_hours: Decimal


@dataclass(frozen=True)
class NewNeed:
    job: AnyJob
    part: AnyPart
    line: AnyLine | None  # None: the whole route card


@dataclass(frozen=True)
class There:
    """A row of the file that the car has already; it is left as it is."""

    row: int
    text: str


@dataclass
class ImportPlan:
    """Everything that a file would add to a car, and everything that is wrong with it."""

    jobs: list[NewJob] = field(default_factory=list)
    jobs_there: list[There] = field(default_factory=list)
    parts: list[NewPart] = field(default_factory=list)
    lines: list[NewLine] = field(default_factory=list)
    parts_there: list[There] = field(default_factory=list)
    links: list[NewLink] = field(default_factory=list)
    needs: list[NewNeed] = field(default_factory=list)
    made_by: list[tuple[NewPart, AnyJob]] = field(default_factory=list)
    line_after: list[tuple[NewLine, AnyJob]] = field(default_factory=list)
    new_areas: list[str] = field(default_factory=list)
    new_skills: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    @property
    def adds_anything(self) -> bool:
        return bool(self.jobs or self.parts or self.lines)

    @property
    def counts(self) -> str:
        """How much is new: '2 jobs, 1 part and 3 lines of route cards'."""
        things = (("job", self.jobs), ("part", self.parts), ("line", self.lines))
        texts = [f"{len(new)} {name}{'' if len(new) == 1 else 's'}" for name, new in things if new]
        if self.lines:
            texts[-1] += " of route cards"
        return " and ".join(", ".join(texts).rsplit(", ", 1))

    @property
    def can_be_added(self) -> bool:
        return self.adds_anything and not self.faults

    @property
    def suppliers_wanted(self) -> int:
        """Lines that name no supplier though their process is one that others do."""
        return sum(1 for line in self.lines if line.supplier is None)

    @cached_property
    def befores(self) -> dict[NewJob, list[AnyJob]]:
        """What each new job comes after, for the page that shows the finished plan."""
        found: dict[NewJob, list[AnyJob]] = defaultdict(list)
        for link in self.links:
            found[link.after].append(link.before)
        return found

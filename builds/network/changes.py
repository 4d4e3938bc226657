"""What may be tried under What if, each as one line of an address: nothing of a question is kept in tables.

A line reads 'batch:3:2026-12-01': a kind, then its figures in the order of the fields.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import ClassVar

LONGEST_LINE = 160


@dataclass(frozen=True)
class Change:
    """One thing that would be otherwise; the base of all kinds."""

    kind: ClassVar[str] = ""

    @property
    def line(self) -> str:
        values = [getattr(self, one.name) for one in fields(self)]
        return ":".join((self.kind, *map(str, values)))


@dataclass(frozen=True)
class ExtraPerson(Change):
    """Somebody with a skill, here for some days."""

    kind: ClassVar[str] = "person"
    skill_id: int
    first: date
    days: int
    hours: Decimal
    name: str

    @property
    def last(self) -> date:
        return date.fromordinal(self.first.toordinal() + self.days - 1)


@dataclass(frozen=True)
class Overtime(Change):
    kind: ClassVar[str] = "overtime"
    person_id: int
    first: date
    days: int
    hours: Decimal  # a day more

    @property
    def last(self) -> date:
        return date.fromordinal(self.first.toordinal() + self.days - 1)


@dataclass(frozen=True)
class BatchLeaves(Change):
    """A batch goes on a day with what is ready by then; the rest goes by itself as soon as it is."""

    kind: ClassVar[str] = "batch"
    batch_id: int
    on: date


@dataclass(frozen=True)
class PulledOut(Change):
    """A piece leaves its batch and goes by itself."""

    kind: ClassVar[str] = "pull"
    operation_id: int


@dataclass(frozen=True)
class Express(Change):
    """A line that has not gone yet takes so many working days instead, carriage included."""

    kind: ClassVar[str] = "express"
    operation_id: int
    days: int


@dataclass(frozen=True)
class DueIn(Change):
    """What is out comes in on a day."""

    kind: ClassVar[str] = "due"
    operation_id: int
    on: date


@dataclass(frozen=True)
class PromiseMoved(Change):
    kind: ClassVar[str] = "promise"
    milestone_id: int
    on: date


KINDS: dict[str, type[Change]] = {
    one.kind: one for one in (ExtraPerson, Overtime, BatchLeaves, PulledOut, Express, DueIn, PromiseMoved)
}
READERS = {"int": int, "date": date.fromisoformat, "Decimal": Decimal, "str": str}
MOST = {"days": 366, "hours": 16}
YEARS = 2000, 2100


def read_changes(lines: Iterable[str]) -> tuple[tuple[Change, ...], tuple[str, ...]]:
    """The changes of some lines, and the lines that say nothing that can be meant."""
    found: dict[str, Change] = {}
    wrong = []
    for line in lines:
        change = read_change(line)
        if change is None:
            wrong.append(line[:LONGEST_LINE])
        else:
            found[change.line] = change
    return tuple(found.values()), tuple(wrong)


def read_change(line: str) -> Change | None:
    """One change; None if the line cannot be one."""
    name, _, rest = line[:LONGEST_LINE].partition(":")
    kind = KINDS.get(name)
    if kind is None:
        return None
    asked = fields(kind)
    given = rest.split(":", len(asked) - 1)
    if len(given) != len(asked):
        return None
    try:
        values = {one.name: READERS[str(one.type)](text) for one, text in zip(asked, given, strict=True)}
    except (ValueError, InvalidOperation):
        return None
    return kind(**values) if all(_can_be(name, value) for name, value in values.items()) else None


def _can_be(name: str, value: object) -> bool:
    if isinstance(value, date):
        return YEARS[0] <= value.year <= YEARS[1]
    if isinstance(value, Decimal) and not value.is_finite():
        return False
    if isinstance(value, int | Decimal):
        return 0 < value <= MOST.get(name, 2**31)
    return True

"""What the bench page shows: each wire of the cut list with its ticks, what a newer revision asks for."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from engineering.bench.readings import Compared, compare
from engineering.bench.services import cut_rows
from engineering.loom.bench import Step
from engineering.loom.cutting import CutRow
from engineering.models import Bench, BenchChange, BenchTick

STILL = [(step.value, f"still to be {step.value}") for step in Step]


@dataclass(frozen=True)
class Box:
    """One box to tick."""

    step: str
    tick: BenchTick | None
    key: str  # so that the place on the page is kept where it was pressed


@dataclass(frozen=True)
class BenchLine:
    """One wire."""

    row: CutRow
    boxes: tuple[Box, ...]
    reading: Compared | None
    changes: tuple[str, ...]
    error: str = ""

    @property
    def key(self) -> str:
        return f"wire-{self.row.order}"

    @property
    def is_done(self) -> bool:
        return all(box.tick for box in self.boxes)

    @property
    def cut(self) -> str:
        return f"{self.row.cut_mm:.0f}"

    @property
    def route(self) -> str:
        return " ".join(self.row.route)


@dataclass(frozen=True)
class Progress:
    """How far one step is."""

    step: str
    done: int
    of: int

    @property
    def share(self) -> str:
        """Length of the rule's dark part, of 100."""
        return f"{100 * self.done / self.of:.1f}" if self.of else "0"


@dataclass(frozen=True)
class Wanted:
    """Which wires to show; empty shows all."""

    still: str = ""
    run: str = ""
    connector: str = ""

    def lets_through(self, line: BenchLine) -> bool:
        if self.still and any(box.step == self.still and box.tick for box in line.boxes):
            return False
        if self.run and self.run not in line.row.route:
            return False
        return not self.connector or self.connector in ends(line.row)


def ends(row: CutRow) -> tuple[str, str]:
    """The places that a wire joins, without their cavities."""
    return place_of(row.start), place_of(row.end)


def place_of(end: str) -> str:
    """The connector, splice or stud of one end, as the cut list writes it."""
    return end.rpartition("/")[0] or end


class BenchPage:
    """The bench of one loom, read with a fixed number of queries: ticks, readings, changes."""

    def __init__(self, bench: Bench, wanted: Wanted | None = None, errors: Mapping[str, str] | None = None):
        self.bench = bench
        self.wanted = wanted or Wanted()
        self.errors = errors or {}
        self.rows = cut_rows(bench.sheet)
        self.running_c = {wire["label"]: wire["running_c"] for wire in bench.sheet.results["wires"]}

    @cached_property
    def lines(self) -> list[BenchLine]:
        """All wires, in the order of laying."""
        return [self._line(row) for row in self.rows.values()]

    @cached_property
    def shown(self) -> list[BenchLine]:
        return [line for line in self.lines if self.wanted.lets_through(line)]

    def line(self, label: str) -> BenchLine:
        return self._line(self.rows[label])

    def _line(self, row: CutRow) -> BenchLine:
        ticks = self._ticks.get(row.label, {})
        boxes = tuple(
            Box(step.value, ticks.get(step.value), f"wire-{row.order}-{step.value}") for step in Step
        )
        return BenchLine(
            row,
            boxes,
            self._readings.get(row.label),
            tuple(self._open_changes.get(row.label, ())),
            self.errors.get(row.label, ""),
        )

    @cached_property
    def progress(self) -> list[Progress]:
        return [
            Progress(
                step.value,
                sum(step.value in self._ticks.get(label, {}) for label in self.rows),
                len(self.rows),
            )
            for step in Step
        ]

    @cached_property
    def runs(self) -> list[str]:
        """Runs by their first wire in the order of laying."""
        return list(dict.fromkeys(run for row in self.rows.values() for run in row.route))

    @cached_property
    def connectors(self) -> list[str]:
        return sorted({end for row in self.rows.values() for end in ends(row)}, key=str.casefold)

    @cached_property
    def changes(self) -> list[dict[str, Any]]:
        """What newer revisions asked for, the newest first; what needs no act is only named."""
        return [
            {
                "change": change,
                "act": _act(change),
                "is_open": change.seen_at is None,
            }
            for change in sorted(
                self._changes, key=lambda one: (one.seen_at is not None, -one.sheet.revision, one.pk)
            )
        ]

    @cached_property
    def still_to_see(self) -> int:
        return sum(change.seen_at is None for change in self._changes)

    @cached_property
    def _ticks(self) -> dict[str, dict[str, BenchTick]]:
        found: dict[str, dict[str, BenchTick]] = defaultdict(dict)
        for tick in self.bench.ticks.select_related("by"):
            found[tick.label][tick.step] = tick
        return found

    @cached_property
    def _readings(self) -> dict[str, Compared]:
        """The newest reading of each wire as it is now."""
        found: dict[str, Compared] = {}
        for reading in self.bench.readings.all():
            row = self.rows.get(reading.label)
            if row is not None and reading.label not in found:
                compared = compare(reading, row, self.running_c.get(row.label, 20.0))
                if not compared.is_old:
                    found[row.label] = compared
        return found

    @cached_property
    def _changes(self) -> list[BenchChange]:
        return list(self.bench.changes.select_related("sheet", "seen_by"))

    @cached_property
    def _open_changes(self) -> dict[str, list[str]]:
        found: dict[str, list[str]] = defaultdict(list)
        for change in self._changes:
            if change.seen_at is None:
                found[change.label].append(
                    f"Revision {change.sheet.revision}: {change.words or 'new'}. {_act(change)}"
                )
        return found


def _act(change: BenchChange) -> str:
    """What is to be done about it at the bench."""
    lost = change.lost.split(", ") if change.lost else []
    if change.kind == BenchChange.Kind.GONE:
        return "Pull it out." if "laid" in lost or "terminated" in lost else "Put the cut wire aside."
    if change.kind == BenchChange.Kind.NEW:
        return "Cut and lay it."
    if not lost:
        return "Nothing was done that it undoes."
    if "cut" in lost:
        return "Pull the old wire out and cut a new one." if "laid" in lost else "Cut it anew."
    return f"To be done again: {change.lost}."

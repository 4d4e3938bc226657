"""Lines of route cards as the core's pieces: ready when, wanted back when, how large."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.urls import reverse

from builds.facts import WorkshopFacts
from builds.network.calendars import at_midnight
from builds.network.solution import Solution
from builds.schedule.calendar import from_minutes
from builds.schedule.errors import BeyondHorizon
from builds.sheets.finishing import Piece as Line
from parts.batching.limits import fits
from parts.batching.pieces import DAY_MIN, LotLimits, Piece, Tariff

from .days import ShopDays
from .tariffs import Gap


@dataclass(frozen=True)
class LeftOut:
    """A line that the calculation cannot take, and why."""

    line: Line
    why: str

    def __str__(self) -> str:
        return f"{self.line.candidate.part} of {self.line.candidate.car}: {self.why}"


@dataclass(frozen=True)
class Reader:
    """Reads lines against one network."""

    solution: Solution
    facts: WorkshopFacts
    days: ShopDays

    def ready_moment(self, line: Line) -> int | None:
        """The minute from which it can leave; None if nobody knows."""
        if line.candidate.is_ready:
            return at_midnight(self.facts.today)
        early, keys = self.solution.early, self.before(line)
        if early is None or line.candidate.ready_on is None:
            return None
        if any(key not in early.finish for key in keys):
            return None  # what it waits for lies beyond the calendars
        return max((early.finish[key] for key in keys), default=at_midnight(line.candidate.ready_on))

    def before(self, line: Line) -> list[str]:
        """Keys of what it waits for in the network."""
        row = self.solution.model.rows.operations.get(line.id)
        return self.solution.model.before_operation(row) if row else []

    def limit(self, line: Line) -> tuple[int | None, str]:
        """Up to when it can be back, in minutes of working days; the milestone if not first start-up."""
        key = f"op:{line.id}"
        for late, milestone in (
            (self.solution.late_to_start_up, ""),
            (
                self.solution.late_to_later,
                self.solution.later_names.get(line.candidate.car_id, "a milestone"),
            ),
        ):
            if key in late.finish:
                # what comes in the night is in time for whatever may begin in the morning
                return self.days.at(self._opens_from(late.finish[key])), milestone
        return None, ""

    def _opens_from(self, moment: int) -> int:
        try:
            return self.solution.model.shop.next_working(moment)
        except BeyondHorizon:
            return moment

    def held_by(self, line: Line) -> str:
        """What else holds the car's first start-up: the first link of its chain, unless that is the piece."""
        car = self.facts.cars.get(line.candidate.car_id)
        start_up = car.first_start_up if car else None
        if start_up is None or not start_up.chain or line.candidate.sets_date:
            return ""
        return f"“{start_up.chain[0].short}”"

    def ready_on(self, line: Line) -> date | None:
        """The day on which it is ready."""
        moment = self.ready_moment(line)
        return None if moment is None else from_minutes(moment).date()

    def ready_at(self, line: Line) -> int | None:
        """From when it can leave, in minutes of working days."""
        moment = self.ready_moment(line)
        return None if moment is None else self.days.at(moment)

    def piece(self, line: Line, *, colour_set: str) -> Piece | None:
        ready_at = self.ready_at(line)
        if ready_at is None:
            return None
        limit_at, milestone = self.limit(line)
        part = line.operation.part
        return Piece(
            piece_id=line.id,
            name=part.name,
            car=part.car.name,
            ready_day=ready_at // DAY_MIN,
            limit_day=None if limit_at is None else limit_at // DAY_MIN,
            limit_minute=(limit_at or 0) % DAY_MIN,
            quantity=line.candidate.quantity,
            area_cm2=None if part.area_m2 is None else round(part.area_m2 * 10_000),
            mass_g=None if part.mass_kg is None else round(part.mass_kg * 1_000),
            size_mm=(part.length_mm, part.width_mm, part.height_mm),
            colour_set=colour_set,
            held_by="" if milestone else self.held_by(line),
            milestone=milestone,
        )


def colour_sets(lines: Iterable[Line]) -> dict[int, str]:
    """By line, the set of parts of one car that are seen side by side; empty for a part seen alone."""
    return {line.id: f"{line.candidate.car_id}:{words}" if (words := _words(line)) else "" for line in lines}


def _words(line: Line) -> str:
    return " ".join(line.operation.part.colour_set.split()).casefold()


def sized(
    pieces: Sequence[Piece], tariff: Tariff, limits: LotLimits, lines: Mapping[int, Line]
) -> tuple[list[Piece], list[Gap]]:
    """The pieces with no area or mass missing that a price or limit goes by, and what was missing.

    What nobody gave counts as nothing, so that a cost is what it is at least.
    """
    gaps, found = [], []
    for piece in pieces:
        address = reverse("part-edit", args=[lines[piece.piece_id].operation.part_id])
        whose = f"of {piece.name} of {piece.car} is not known"
        if piece.area_cm2 is None and (tariff.per_m2_pence or limits.area_cm2):
            piece = replace(piece, area_cm2=0)
            gaps.append(
                Gap(f"The surface {whose}, and the price list goes by it: it counts as none.", address)
            )
        if piece.mass_g is None and (tariff.per_kg_pence or limits.mass_g):
            piece = replace(piece, mass_g=0)
            gaps.append(Gap(f"The mass {whose}, and the price list goes by it: it counts as none.", address))
        found.append(piece)
    return found, gaps


def too_much(piece: Piece, limits: LotLimits, supplier: str) -> str:
    """Why a line by itself is more than the finisher takes; empty if it is not."""
    if not fits(piece.size_mm, limits.largest_mm):
        return f"it is larger than {supplier} takes"
    for of_one, most, words in (
        (piece.area_cm2 or 0, limits.area_cm2, "its surface is"),
        (piece.mass_g or 0, limits.mass_g, "its mass is"),
        (1, limits.pieces, "its pieces are"),
    ):
        if most is not None and of_one * piece.quantity > most:
            return f"{words} more than {supplier} takes into one lot: split the line"
    return ""

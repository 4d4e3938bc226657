"""One trip for several lots of a finisher: taken out and fetched on the same day."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from builds.sheets.finishing import BatchSheet
from parts.batching.errors import BatchingError
from parts.batching.reasons import pounds
from parts.batching.visits import MOST_ERRANDS, Errand, Visit, rounds
from parts.models import Supplier

from .days import trips
from .desk import Desk
from .working import Working, lead_days

LOOK_AHEAD = 260  # working days


@dataclass(frozen=True)
class Call:
    """One visit to a finisher."""

    on: date
    takes: tuple[str, ...]
    fetches: tuple[str, ...]


@dataclass(frozen=True)
class JointTrips:
    """How the lots of one finisher can share trips, with no car a day later."""

    supplier: Supplier
    calls: tuple[Call, ...]
    apart: int  # calls if each lot were taken and fetched by itself
    saves_pence: int

    @property
    def saves(self) -> str:
        return pounds(self.saves_pence)


def joint_trips(desk: Desk, batches: Sequence[BatchSheet], workings: Iterable[Working]) -> list[JointTrips]:
    """For each finisher whose carriage is known: what is there, what waits, and the lots we would take."""
    errands: dict[int, list[Errand]] = {}
    suppliers: dict[int, Supplier] = {}
    for sheet in batches:
        suppliers[sheet.batch.supplier_id] = sheet.batch.supplier
        errand = _of_batch(desk, sheet)
        if errand is not None:
            errands.setdefault(sheet.batch.supplier_id, []).append(errand)
    for working in workings:
        suppliers[working.supplier.pk] = working.supplier
        errands.setdefault(working.supplier.pk, []).extend(_of_working(working))
    found = [_joint(desk, suppliers[number], own) for number, own in errands.items()]
    return sorted(
        (joint for joint in found if joint), key=lambda joint: (-joint.saves_pence, joint.supplier.name)
    )


def _joint(desk: Desk, supplier: Supplier, errands: list[Errand]) -> JointTrips | None:
    if supplier.carriage_charge is None or len(errands) < 2:
        return None
    soonest = sorted(errands, key=lambda errand: errand.done_day or errand.ready_day)[:MOST_ERRANDS]
    half = round(supplier.carriage_charge * 100) // 2
    try:
        best = rounds(soonest, _open_days(desk, supplier), half)[0]
    except BatchingError:
        return None
    apart = sum(1 if errand.done_day is not None else 2 for errand in soonest)
    if len(best.visits) >= apart:
        return None
    calls = tuple(_call(desk, visit) for visit in best.visits)
    return JointTrips(supplier, calls, apart, (apart - len(best.visits)) * half)


def _call(desk: Desk, visit: Visit) -> Call:
    return Call(desk.reader.days.day(visit.day), visit.takes, visit.fetches)


def _open_days(desk: Desk, supplier: Supplier) -> list[int]:
    return sorted(trips(desk.reader.days, desk.calendar(supplier), 0, LOOK_AHEAD))


def _of_working(working: Working) -> list[Errand]:
    """The lots of the answer that we would take."""
    limits = {piece.piece_id: (piece.payer, piece.limit_day) for piece in working.pieces}
    name = working.process.name.lower()
    return [
        Errand(
            f"{name}, {len(lot.piece_ids)} part{'s' * (len(lot.piece_ids) > 1)}, not planned yet",
            lot.leaves_day,
            working.finisher.back_on,
            _tightest(limits[number] for number in lot.piece_ids),
        )
        for lot in working.chosen.lots
    ]


def _of_batch(desk: Desk, sheet: BatchSheet) -> Errand | None:
    reader, days = desk.reader, desk.reader.days
    limits = _tightest(
        (f"{line.candidate.car}", reader.limit(line)[0]) for line in sheet.pieces if not reader.limit(line)[1]
    )
    if sheet.batch.sent_on is not None:
        if sheet.back_on is None or sheet.is_back:
            return None
        return Errand(str(sheet.batch), 0, {}, limits, max(0, days.by_end_of(sheet.back_on)))
    if sheet.leaves_on is None or not sheet.pieces:
        return None
    slowest = max(lead_days(line, sheet.batch.supplier) for line in sheet.pieces)
    done_on = trips(days, desk.calendar(sheet.batch.supplier), slowest, LOOK_AHEAD)
    return Errand(str(sheet.batch), max(0, days.by_end_of(sheet.leaves_on)), done_on, limits)


def _tightest(limits: Iterable[tuple[str, int | None]]) -> tuple[tuple[str, int], ...]:
    found: dict[str, int] = {}
    for payer, limit in limits:
        if limit is not None:
            found[payer] = min(limit, found.get(payer, limit))
    return tuple(sorted(found.items()))

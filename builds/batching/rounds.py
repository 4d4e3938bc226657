"""One trip for several lots of a finisher: taken out and fetched on the same day."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from builds.sheets.finishing import BatchSheet
from parts.batching.errors import BatchingError
from parts.batching.pieces import DAY_MIN
from parts.batching.reasons import pounds
from parts.batching.visits import Errand, Visit, rounds
from parts.models import Supplier

from .days import trips
from .desk import Desk
from .tariffs import pence
from .working import Working, lead_days

LOOK_AHEAD = 260  # working days in which what leaves must be back
SOON = 30  # working days: a trip later than that is nobody's plan yet
MOST = 7  # lots of one finisher; the work doubles with each


@dataclass(frozen=True)
class Call:
    """One visit to a finisher."""

    on: date
    takes: tuple[str, ...]
    fetches: tuple[str, ...]


@dataclass(frozen=True)
class JointTrips:
    """How the lots of one finisher can share trips, with no car a day later."""

    who: str  # the finisher, or the carrier and whom it calls at
    calls: tuple[Call, ...]
    apart: int  # calls if each lot were taken and fetched by itself
    saves_pence: int

    @property
    def saves(self) -> str:
        return pounds(self.saves_pence)


def joint_trips(desk: Desk, batches: Sequence[BatchSheet], workings: Iterable[Working]) -> list[JointTrips]:
    """For each finisher or carrier whose charge is known: what is there, what waits, what we would take.

    Suppliers of one carrier are called at on one round, which costs what the dearest of them charges.
    """
    errands: dict[str, list[Errand]] = {}
    suppliers: dict[str, dict[int, Supplier]] = {}
    for sheet in batches:
        errand = _of_batch(desk, sheet)
        if errand is not None:
            _enter(errands, suppliers, sheet.batch.supplier, [errand])
    for working in workings:
        _enter(errands, suppliers, working.supplier, _of_working(working))
    found = [_joint(desk, list(suppliers[whose].values()), own) for whose, own in errands.items()]
    return sorted((joint for joint in found if joint), key=lambda joint: (-joint.saves_pence, joint.who))


def _enter(
    errands: dict[str, list[Errand]],
    suppliers: dict[str, dict[int, Supplier]],
    supplier: Supplier,
    own: list[Errand],
) -> None:
    carrier = " ".join(supplier.carrier.split()).casefold()
    whose = f"carrier {carrier}" if carrier else f"supplier {supplier.pk}"
    errands.setdefault(whose, []).extend(own)
    suppliers.setdefault(whose, {})[supplier.pk] = supplier


def _joint(desk: Desk, suppliers: list[Supplier], errands: list[Errand]) -> JointTrips | None:
    charges = [supplier.carriage_charge for supplier in suppliers if supplier.carriage_charge is not None]
    if not charges:
        return None
    near = [errand for errand in errands if _begins(errand) <= SOON]
    soonest = sorted(near, key=_begins)[:MOST]
    if len(soonest) < 2:
        return None
    half = pence(max(charges)) // 2
    try:
        best = rounds(soonest, _open_days(desk, suppliers), half)[0]
    except BatchingError:
        return None
    apart = sum(1 if errand.done_day is not None else 2 for errand in soonest)
    if len(best.visits) >= apart:
        return None
    calls = tuple(_call(desk, visit) for visit in best.visits)
    return JointTrips(_who(suppliers), calls, apart, (apart - len(best.visits)) * half)


def _begins(errand: Errand) -> int:
    return errand.ready_day if errand.done_day is None else errand.done_day


def _call(desk: Desk, visit: Visit) -> Call:
    return Call(desk.reader.days.day(visit.day), visit.takes, visit.fetches)


def _who(suppliers: Sequence[Supplier]) -> str:
    names = ", ".join(sorted(supplier.name for supplier in suppliers))
    return f"{suppliers[0].carrier} ({names})" if len(suppliers) > 1 else names


def _open_days(desk: Desk, suppliers: Iterable[Supplier]) -> list[int]:
    """Days on which all of them are there."""
    days = desk.reader.days
    each = [set(trips(days, desk.calendar(supplier), 0, LOOK_AHEAD).back_on) for supplier in suppliers]
    return sorted(set.intersection(*each))


def _of_working(working: Working) -> list[Errand]:
    """The lots of the answer that we would take."""
    limits = {piece.piece_id: (piece.payer, piece.limit_at) for piece in working.pieces}
    minutes = working.finisher.back_minute
    colour = next(iter(working.lines.values())).operation.colour
    name = f"{working.process.name.lower()} {colour}".strip()
    return [
        Errand(
            f"{name}, {len(lot.piece_ids)} part{'s' * (len(lot.piece_ids) > 1)} (not planned yet)",
            lot.leaves_day,
            working.finisher.back_on,
            _tightest((limits[number] for number in lot.piece_ids), minutes.get(lot.leaves_day, 0)),
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
        return Errand(str(sheet.batch), 0, {}, limits, days.from_day(sheet.back_on))
    if sheet.leaves_on is None or not sheet.pieces:
        return None
    slowest = max(lead_days(line, sheet.batch.supplier) for line in sheet.pieces)
    done_on = trips(days, desk.calendar(sheet.batch.supplier), slowest, LOOK_AHEAD).back_on
    return Errand(str(sheet.batch), max(0, days.by_end_of(sheet.leaves_on)), done_on, limits)


def _tightest(limits_at: Iterable[tuple[str, int | None]], minute: int = 0) -> tuple[tuple[str, int], ...]:
    """For each payer the last day on which goods can be back that are back in a minute of a day."""
    found: dict[str, int] = {}
    for payer, limit_at in limits_at:
        if limit_at is not None:
            limit = (limit_at - minute) // DAY_MIN
            found[payer] = min(limit, found.get(payer, limit))
    return tuple(sorted(found.items()))

"""Reads what could go to a finisher and what is in a batch, with what the network says of each piece."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from builds.facts import WorkshopFacts, whose
from builds.models import Job
from parts.batching.lots import Candidate, Lot, Tally, Verdict, finish_key, lots, tally
from parts.batching.words import sentence, short_day
from parts.models import FinishingBatch, MaterialVerdict, Operation, Process
from parts.services.pieces import reworked_by

Verdicts = Mapping[tuple[int, int], MaterialVerdict]


@dataclass(frozen=True)
class Piece:
    """One line of a route card that is to be finished."""

    candidate: Candidate
    operation: Operation
    waits_for: str  # "machine at …: out, 3 days late"; empty when it is ready

    @property
    def id(self) -> int:
        return self.candidate.operation_id


@dataclass(frozen=True)
class LotSheet:
    """What may go together, and what of the same finish must not."""

    lot: Lot
    sentence: str
    holds: str  # "holds Skua’s first start-up"; empty if it holds none
    pieces: tuple[Piece, ...]
    set_aside: tuple[Piece, ...]
    tally: Tally

    @property
    def ready_ids(self) -> frozenset[int]:
        """What could leave now."""
        return frozenset(piece.id for piece in self.pieces if piece.candidate.is_ready)


@dataclass(frozen=True)
class BatchSheet:
    """A batch that is waiting or out."""

    batch: FinishingBatch
    pieces: tuple[Piece, ...]
    sentence: str
    tally: Tally
    leaves_on: date | None  # by the network; None once out
    back_on: date | None  # of the last piece
    days_late: int
    holds: str  # "holds Skua’s first start-up"; empty if it holds none

    @property
    def not_ready(self) -> tuple[Piece, ...]:
        return tuple(piece for piece in self.pieces if not piece.candidate.is_ready)

    @property
    def has_slipped(self) -> bool:
        """It cannot leave on the day that was planned for it."""
        planned_on = self.batch.planned_on
        return bool(self.batch.chosen_on and planned_on and self.leaves_on and self.leaves_on > planned_on)

    @property
    def is_back(self) -> bool:
        """Every piece of it has come in."""
        return bool(self.pieces) and all(piece.operation.back_on for piece in self.pieces)


@dataclass(frozen=True)
class Finishing:
    """The whole of the Finishing page."""

    lots: tuple[LotSheet, ...]
    waiting: tuple[BatchSheet, ...]
    out: tuple[BatchSheet, ...]
    own_shop: int  # lines finished here, which go into no batch


def read_finishing(facts: WorkshopFacts) -> Finishing:
    """Read all lots and batches: a fixed number of queries, whatever the size."""
    verdicts = _verdicts()
    free = [_piece(line, facts, verdicts) for line in _lines(_free())]
    batches = list(
        FinishingBatch.objects.filter(Q(sent_on__isnull=True) | Exists(_still_out()))
        .select_related("supplier", "process")
        .order_by("sent_on", "planned_on", "pk")
    )
    members: dict[int | None, list[Piece]] = {batch.pk: [] for batch in batches}
    for line in _lines(Operation.objects.filter(batch__in=batches)):
        members[line.batch_id].append(_piece(line, facts, verdicts))
    sheets = [_batch_sheet(batch, members[batch.pk], facts) for batch in batches]
    return Finishing(
        lots=_lot_sheets(free, facts.today),
        waiting=tuple(sheet for sheet in sheets if sheet.batch.sent_on is None),
        out=tuple(sheet for sheet in sheets if sheet.batch.sent_on is not None),
        own_shop=_unfinished().filter(supplier__isnull=True).count(),
    )


def read_waiting_like(batch: FinishingBatch, facts: WorkshopFacts) -> tuple[BatchSheet, ...]:
    """Read the waiting batches of the process and finisher of `batch`, itself among them."""
    batches = list(
        FinishingBatch.objects.waiting()
        .filter(process=batch.process, supplier=batch.supplier)
        .select_related("supplier", "process")
    )
    verdicts = _verdicts()
    members: dict[int | None, list[Piece]] = {alike.pk: [] for alike in batches}
    for line in _lines(Operation.objects.filter(batch__in=batches)):
        members[line.batch_id].append(_piece(line, facts, verdicts))
    return tuple(_batch_sheet(alike, members[alike.pk], facts) for alike in batches)


def read_batch(batch: FinishingBatch, facts: WorkshopFacts) -> BatchSheet:
    """Read one batch, waiting, out or long back."""
    verdicts = _verdicts()
    pieces = [_piece(line, facts, verdicts) for line in _lines(Operation.objects.filter(batch=batch))]
    return _batch_sheet(batch, pieces, facts)


def read_lots_like(
    operation_ids: Collection[int], facts: WorkshopFacts, batch: FinishingBatch | None = None
) -> tuple[LotSheet, ...]:
    """Read the lots of the finishes that these operations and the members of `batch` have.

    They hold what is free and what stands in `batch`: what making or changing a batch can choose from.
    """
    here = Q(batch__isnull=True) | Q(batch=batch) if batch else Q(batch__isnull=True)
    choice = _unfinished().at_suppliers().filter(here)
    finishes = {
        number: (finish_key(process, colour, coating_class), batch_id)
        for number, process, colour, coating_class, batch_id in choice.values_list(
            "pk", "process__name", "colour", "coating_class", "batch_id"
        )
    }
    wanted = {
        finish
        for number, (finish, batch_id) in finishes.items()
        if number in operation_ids or batch_id is not None
    }
    alike = [number for number, (finish, _) in finishes.items() if finish in wanted]
    verdicts = _verdicts()
    lines = _lines(Operation.objects.filter(pk__in=alike))
    return _lot_sheets([_piece(line, facts, verdicts) for line in lines], facts.today)


# Rows


def _unfinished() -> QuerySet[Operation]:
    return Operation.objects.finishes().to_do().open().filter(part__car__handed_over_on__isnull=True)


def _free() -> QuerySet[Operation]:
    return _unfinished().at_suppliers().filter(batch__isnull=True)


def _still_out() -> QuerySet[Operation]:
    return Operation.objects.out().filter(batch=OuterRef("pk"))


def _lines(operations: QuerySet[Operation]) -> QuerySet[Operation]:
    cards = Operation.objects.select_related("process", "supplier").order_by("sequence")
    return operations.select_related(
        "process", "supplier", "batch", "part__material", "part__car", "part__made_by", "sent_drawing"
    ).prefetch_related(Prefetch("part__operations", cards), "after_jobs")


def _verdicts() -> Verdicts:
    rows = MaterialVerdict.objects.filter(process__kind=Process.Kind.FINISH)
    return {(row.process_id, row.material_id): row for row in rows}


# Pieces


def _piece(line: Operation, facts: WorkshopFacts, verdicts: Verdicts) -> Piece:
    earlier = _open_before(line)
    waits_for = _waits_for(line, earlier, facts)
    known = facts.operations.get(line.pk)
    is_ready = line.sent_on is None and not waits_for
    # a network with a ring in it dates nothing, and then nobody knows when a piece that waits is ready
    dated = known is not None and (is_ready or (facts.has_dates and known.leaves_on is not None))
    verdict, reason, source = _verdict(line, verdicts)
    candidate = Candidate(
        operation_id=line.pk,
        part=line.part.name,
        car=line.part.car.name,
        car_id=line.part.car_id,
        process=line.process.name,
        colour=line.colour,
        coating_class=line.coating_class,
        material=line.part.material.name if line.part.material else "",
        verdict=verdict,
        reason=reason,
        source=source,
        quantity=line.pieces,
        mass_kg=None if line.part.mass_kg is None else float(line.part.mass_kg),
        is_ready=is_ready,
        ready_on=known.ready_on if known and dated else None,
        back_limit=known.order_by if known else None,
        sets_date=bool(known and known.sets_date),
        days_late=max((_days_late(other, facts) for other in earlier), default=0),
    )
    return Piece(candidate, line, waits_for)


def _open_before(line: Operation) -> list[Operation]:
    """Earlier lines that are not accepted; a rejected one counts until another line makes it good."""
    card = line.part.operations.all()
    made_good = {other.reworks_id for other in card}
    own = reworked_by(line)  # pieces that were wrong go again without those that are still out
    return [
        other
        for other in card
        if other.sequence < line.sequence
        and other.result != Operation.Result.ACCEPTED
        and not (other.result and other.pk in made_good)
        and not (not other.result and other.pk in own)
    ]


def _waits_for(line: Operation, earlier: Sequence[Operation], facts: WorkshopFacts) -> str:
    """The first thing in its way, as `parts.services.operations` will ask for it at goods out."""
    if line.sent_on is not None:
        return ""
    if earlier:
        return _line_words(earlier[0], facts)
    jobs: list[Job] = list(line.after_jobs.all())
    if line.part.made_by is not None:
        jobs.append(line.part.made_by)
    return next((f"first: {job.title}" for job in jobs if not job.is_complete), "")


def _line_words(line: Operation, facts: WorkshopFacts) -> str:
    where = f" at {line.supplier.name}" if line.supplier else " here"
    words = f"{line.process.name.lower()}{where}: {line.state}"
    if line.state != Operation.State.OUT:
        return words
    late = _days_late(line, facts)
    if late:
        words += f", {late} day{'s' * (late > 1)} late"
    if line.promised_on and line.promised_on >= facts.today:
        words += f", {'now ' * bool(late)}promised {short_day(line.promised_on, facts.today)}"
    return words


def _days_late(line: Operation, facts: WorkshopFacts) -> int:
    """Against the day first promised; a new promise does not make it less late."""
    known = facts.operations.get(line.pk)
    return known.days_late if known else line.days_late_on(facts.today)


def _verdict(line: Operation, verdicts: Verdicts) -> tuple[Verdict, str, str]:
    material = line.part.material
    if material is None:
        return Verdict.UNKNOWN, "Nobody has said what it is made of: ask before it goes", ""
    row = verdicts.get((line.process_id, material.pk))
    if row is None:
        return Verdict.UNKNOWN, "Nothing is recorded about this material and finish: ask the finisher", ""
    return Verdict(row.verdict), row.reason, row.source


# Sheets


def _lot_sheets(pieces: Iterable[Piece], today: date) -> tuple[LotSheet, ...]:
    by_id = {piece.id: piece for piece in pieces}
    return tuple(
        LotSheet(
            lot=lot,
            sentence=sentence(lot, today),
            holds=_holds(lot),
            pieces=tuple(by_id[member.operation_id] for member in lot.members),
            set_aside=tuple(by_id[member.operation_id] for member in lot.set_aside),
            tally=tally(lot.members),
        )
        for lot in lots(piece.candidate for piece in by_id.values())
    )


def _batch_sheet(batch: FinishingBatch, pieces: Sequence[Piece], facts: WorkshopFacts) -> BatchSheet:
    in_order = sorted(pieces, key=lambda piece: (piece.candidate.car, piece.candidate.part, piece.id))
    members = tuple(piece.candidate for piece in in_order)
    lot = Lot(batch.process.name, batch.colour, batch.coating_class, members)
    known = [facts.operations[piece.id] for piece in in_order if piece.id in facts.operations]
    leaving = [line.leaves_on for line in known if line.leaves_on is not None]
    coming = [line.back_on for line in known if line.back_on is not None]
    coming += [piece.operation.back_on for piece in in_order if piece.operation.back_on]
    return BatchSheet(
        batch=batch,
        pieces=tuple(in_order),
        sentence=sentence(lot, facts.today) if batch.sent_on is None else "",
        tally=tally(members),
        leaves_on=max(leaving, default=None) if batch.sent_on is None else None,
        back_on=max(coming, default=None),
        days_late=max((line.days_late for line in known), default=0),
        holds=_holds(lot),
    )


def _holds(lot: Lot) -> str:
    return f"holds {whose(lot.cars_held)}" if lot.cars_held else ""

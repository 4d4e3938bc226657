"""One part: what it is, where it is, its route card, what needs it, its photos and drawings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Prefetch

from builds.facts import WorkshopFacts
from builds.models import Need
from builds.network.words import days_words
from builds.sheets.coats import CoatNote, line_coat
from builds.sheets.trade import Rulings, page_rulings
from builds.sheets.waiting import OutLine, press_of
from engineering.parts import sheets_of_parts
from parts.batching.words import short_day
from parts.models import GoodsIn, Operation, Overrule, Part, Process, StoredFile, SupplierPromise
from parts.services.operations import comes_first
from parts.services.pieces import Count, count_of


@dataclass(frozen=True)
class CardLine:
    """A line of the route card, with what can be done with it now."""

    operation: Operation
    out: OutLine | None  # what the network says; None once the car is handed over
    waits_for: tuple[str, ...]
    promises: tuple[SupplierPromise, ...]
    count: Count
    goods_in: tuple[GoodsIn, ...]
    rework: Operation | None
    is_last_recorded: bool  # the one that can be taken back

    @property
    def is_to_do(self) -> bool:
        return self.operation.sent_on is None

    @property
    def is_in_waiting_batch(self) -> bool:
        batch = self.operation.batch
        return self.is_to_do and batch is not None and batch.sent_on is None

    @property
    def can_send(self) -> bool:
        return self.is_to_do and not self.waits_for and not self.is_in_waiting_batch

    @property
    def can_take_in(self) -> bool:
        return not self.is_to_do and not self.operation.result

    @property
    def is_short(self) -> bool:
        return self.can_take_in and self.count.is_part

    @property
    def is_counted(self) -> bool:
        """Whether more is to be said of goods in than one verdict for all pieces."""
        return len(self.goods_in) > 1 or self.count.is_part or any(row.photo_id for row in self.goods_in)

    @property
    def can_promise(self) -> bool:
        return self.operation.state == Operation.State.OUT and self.operation.supplier_id is not None

    @property
    def can_strike_out(self) -> bool:
        return self.is_to_do and self.operation.batch_id is None

    @property
    def send_word(self) -> str:
        if self.operation.process.kind == Process.Kind.SUPPLY:
            return "Ordered"
        return "Goods out" if self.operation.supplier_id else "Begun"

    @property
    def coat(self) -> CoatNote | None:
        """What its coat adds to sizes and threads."""
        return line_coat(self.operation)

    @property
    def sets_date(self) -> bool:
        return bool(self.out and self.out.press.sets_date)


@dataclass(frozen=True)
class PartSheet:
    part: Part
    where: str
    lines: tuple[CardLine, ...]
    needs: tuple[Need, ...]
    photos: tuple[StoredFile, ...]
    drawings: tuple[StoredFile, ...]
    rulings: Rulings
    is_waited_for: bool  # somebody else has it

    @property
    def total_mass_kg(self) -> Decimal | None:
        return None if self.part.mass_kg is None else self.part.mass_kg * self.part.quantity

    @property
    def size(self) -> str:
        """'400 × 120 × 90 mm', with a dash for a side that nobody measured."""
        sides = (self.part.length_mm, self.part.width_mm, self.part.height_mm)
        if not any(sides):
            return ""
        return " × ".join(str(side) if side else "–" for side in sides) + " mm"

    @property
    def area(self) -> str:
        return "" if self.part.area_m2 is None else f"{self.part.area_m2.normalize():f} m²"

    @property
    def feature_names(self) -> list[str]:
        """In the order of the form; a word that the form does not know any more stands as it is."""
        names = dict(Part.Feature.choices)
        return [str(names.get(feature, feature)) for feature in self.part.features]

    @property
    def total_cost(self) -> Decimal | None:
        costs = [line.operation.cost for line in self.lines if line.operation.cost is not None]
        return sum(costs, Decimal(0)) if costs else None


def read_part(part_id: int, facts: WorkshopFacts) -> PartSheet:
    """Read one part's sheet. Raises Part.DoesNotExist.

    Queries beside the network's: the part, its lines, jobs before them, promises, overrules, goods in,
    needs, files, calc sheets, and two for the rules of the trade.
    """
    lines = Operation.objects.select_related("process", "supplier", "batch", "sent_drawing", "checked_by")
    promises = SupplierPromise.objects.select_related("by")
    overrules = Overrule.objects.select_related("by")
    card = lines.order_by("sequence").prefetch_related(
        "after_jobs",
        Prefetch("promises", promises),
        Prefetch("overrules", overrules),
        Prefetch("goods_in", GoodsIn.objects.select_related("by", "photo")),
    )
    part = (
        Part.objects.select_related("car", "material", "made_by", "split_from")
        .prefetch_related(Prefetch("operations", card), "files", sheets_of_parts("calc_sheets"))
        .get(pk=part_id)
    )
    files = tuple(part.files.all())
    drawings = tuple(file for file in files if file.kind == StoredFile.Kind.DRAWING)
    operations = list(part.operations.all())
    for operation in operations:
        operation.part = part  # the row with all that was prefetched
    shown = tuple(_card_line(operation, operations, drawings, facts) for operation in operations)
    needs = part.job_needs.select_related("job__area", "operation__process")
    return PartSheet(
        part=part,
        where=where_words(part, operations, facts.today),
        lines=shown,
        needs=tuple(needs.order_by("job__area__order", "job__position", "job__pk")),
        photos=tuple(file for file in files if file.kind == StoredFile.Kind.PHOTO),
        drawings=drawings,
        rulings=page_rulings(part, operations),
        is_waited_for=any(line.operation.state == Operation.State.OUT for line in shown),
    )


def _card_line(
    operation: Operation, card: Sequence[Operation], drawings: Sequence[StoredFile], facts: WorkshopFacts
) -> CardLine:
    recorded = [line for line in card if line.sent_on is not None]
    return CardLine(
        operation=operation,
        out=_out_line(operation, drawings, facts),
        waits_for=tuple(comes_first(operation)) if operation.sent_on is None else (),
        promises=tuple(operation.promises.all()),
        count=count_of(operation),
        goods_in=tuple(operation.goods_in.all()),
        rework=next((line for line in card if line.reworks_id == operation.pk), None),
        is_last_recorded=bool(recorded) and recorded[-1] == operation,
    )


def _out_line(operation: Operation, drawings: Sequence[StoredFile], facts: WorkshopFacts) -> OutLine | None:
    known = facts.operations.get(operation.pk)
    if known is None:
        return None
    return OutLine(
        operation=operation,
        facts=known,
        press=press_of(known, operation),
        newest_drawing=drawings[0] if drawings else None,
    )


def where_words(part: Part, card: Sequence[Operation], today: date) -> str:
    """Where the part is now, as a sentence without a full stop."""
    made_good = {line.reworks_id for line in card}
    for line in card:
        if line.result == Operation.Result.REJECTED and line.pk not in made_good:
            return f"rejected after {_doing(line)}: {line.reason}; no line makes it good yet"
        if not line.result:
            return _where_of_open_line(line, card, today)
    if card:
        back = max((line.back_on for line in card if line.back_on), default=None)
        return f"here and finished, since {short_day(back, today)}" if back else "here and finished"
    if part.made_by is not None:
        return f"made here: “{part.made_by}”" + (", done" if part.made_by.is_complete else "")
    return "it has no route card yet"


def _where_of_open_line(line: Operation, card: Sequence[Operation], today: date) -> str:
    at = line.supplier.name if line.supplier else "our own workshop"
    is_supply = line.process.kind == Process.Kind.SUPPLY
    if line.back_on is not None:
        return f"back from {at} since {short_day(line.back_on, today)}, to be checked"
    if line.sent_on is not None:
        verb = "on order from" if is_supply else "in" if line.supplier is None else "out at"
        words = f"{verb} {at}, {_doing(line)}, since {short_day(line.sent_on, today)}"
        counted = count_of(line).words
        words += f", {counted}" if counted else ""
        if line.promised_on is None:
            return words + (", no day promised" if line.supplier else "")
        first = _first_promise(line)
        words += f", promised {short_day(first, today)}"
        words += f", now {short_day(line.promised_on, today)}" if line.promised_on != first else ""
        late = (today - first).days
        return words + (f", {days_words(late)} late" if late > 0 else "")
    if line.batch is not None:
        return f"here, waits to go with {line.batch} to {at}"
    if line.reworks_id:
        whole = line.pieces == line.part.quantity
        count = "" if whole else f"{line.pieces} of {line.part.quantity} "
        return f"{count}rejected, goes again to {at}: {line.process.name.lower()}"
    begun = any(other.result == Operation.Result.ACCEPTED for other in card)
    if is_supply:
        return f"to be ordered from {at}" if line.supplier else "to be ordered; no supplier chosen yet"
    return f"{'here' if begun else 'not begun'}, next: {_doing(line)} at {at}"


def _first_promise(line: Operation) -> date:
    """The day first promised since it went out: a later one does not make it less late."""
    said = [
        each.promised_on for each in line.promises.all() if not line.sent_on or each.made_on >= line.sent_on
    ]
    assert line.promised_on is not None  # the caller asked
    return said[0] if said else line.promised_on


def _doing(line: Operation) -> str:
    again = " again" if line.reworks_id else ""
    return f"{line.process.name.lower()}{again}"

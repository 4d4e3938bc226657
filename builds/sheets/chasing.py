"""The chase list: whom to ring today, and what about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from django.urls import reverse

from builds.facts import WorkshopFacts, whose
from builds.network import WorkshopState
from builds.network.words import days_words
from builds.sheets.waiting import CarAway, OutLine, Owed, Press, read_waiting
from parts.batching.words import short_day
from parts.models import Call as NotedCall
from parts.models import Supplier

SOON = timedelta(days=1)  # a day promised for tomorrow is worth a word today …
LITTLE_SPARE_DAYS = 10  # … where there is little to spare
ALWAYS_FREE = (
    "Days gained are counted as if somebody were always free: with the people there are a first start-up "
    "may come later, and gain fewer."
)


@dataclass(frozen=True)
class ChaseItem:
    """One thing to ask about."""

    what: str  # "Tern: radiator, fabricate, 2 off"
    ask: tuple[str, ...]  # "promised Fri 20 Nov, 3 days late: when will it be here?"
    url: str
    press: Press
    days_at_stake: int  # working days that first start-up gains if it comes tomorrow, somebody always free
    car_id: int

    @property
    def stake(self) -> str:
        if self.days_at_stake:
            gained = f"{days_words(self.days_at_stake)} gained if it comes tomorrow"
            return f"holds {whose([self.press.car])}: {gained}"
        return self.press.words


@dataclass(frozen=True)
class Call:
    """Everything to be asked of one firm or person."""

    whom: str
    ask_for: str
    phone: str
    items: tuple[ChaseItem, ...]
    note: str = ""
    supplier_id: int | None = None
    rung: tuple[NotedCall, ...] = ()  # today, newest first
    sort_key: tuple[int, int, bool] = field(default=(0, 0, False), repr=False)


@dataclass(frozen=True)
class ChaseList:
    today: date
    calls: tuple[Call, ...]
    rung: tuple[Call, ...]  # somebody has spoken to them today
    ours: tuple[Call, ...]  # asked across the workshop, not by telephone

    @property
    def every_call(self) -> tuple[Call, ...]:
        return (*self.calls, *self.rung, *self.ours)

    @property
    def note(self) -> str:
        """What is to be known of the days gained, where any are told."""
        return (
            ALWAYS_FREE if any(item.days_at_stake for call in self.every_call for item in call.items) else ""
        )

    @property
    def text(self) -> str:
        """The list as plain text, to paste into a message."""
        lines = [f"Chase list, {short_day(self.today, self.today)}", *([self.note] if self.note else [])]
        for call in self.every_call:
            phone = call.phone and f", {call.phone}"
            ask_for = call.ask_for and f" (ask for {call.ask_for})"
            lines += ["", f"{call.whom}{phone}{ask_for}"]
            for item in call.items:
                lines.append(f"- {item.what} [{item.stake}]")
                lines += [f"  {sentence}" for sentence in item.ask]
        return "\n".join(lines)


def read_chase_list(state: WorkshopState, *, with_customers: bool) -> ChaseList:
    """Whom to ring, most days of first start-up at stake first, then most days late.

    `with_customers` names customers and their numbers, which only managers may see. Two queries more than
    the page of what is waited for: the calls of today and who made them.
    """
    facts = state.facts()
    sheet = read_waiting(facts)
    stakes = _stakes(state)
    calls = [
        *(_supplier_calls(sheet.lines, sheet.cars_away, facts, stakes)),
        *(_customer_calls(sheet.by_customer, facts, stakes, with_customers)),
    ]
    ours = [
        _call(owed.by_whom, "", "", [_decision_item(owed, facts, stakes)])
        for owed in sheet.by_us
        if _is_pressing(owed, facts)
    ]
    noted = _noted_on(facts.today)
    calls = [replace(call, rung=noted.get(call.supplier_id or 0, ())) for call in calls]
    return ChaseList(
        today=facts.today,
        calls=_sorted(call for call in calls if not call.rung),
        rung=_sorted(call for call in calls if call.rung),
        ours=_sorted(ours),
    )


def asked_lines(state: WorkshopState, supplier: Supplier) -> frozenset[int]:
    """The lines of a supplier that today's list asks about, by their keys."""
    facts = state.facts()
    return frozenset(
        line.operation.pk
        for line in read_waiting(facts).lines
        if line.operation.supplier_id == supplier.pk and any(_line_asks(line, facts))
    )


def _noted_on(day: date) -> dict[int, tuple[NotedCall, ...]]:
    found: dict[int, tuple[NotedCall, ...]] = {}
    for call in NotedCall.objects.filter(made_at__date=day).select_related("by"):
        found[call.supplier_id] = (*found.get(call.supplier_id, ()), call)
    return found


def _stakes(state: WorkshopState) -> dict[str, int]:
    """Days gained, by the address of the thing that would bring them."""
    found: dict[str, int] = {}
    for car_id in state.facts().cars:
        for saver in state.savers(car_id):
            found[saver.url] = max(saver.days, found.get(saver.url, 0))
    return found


def _sorted(calls: Iterable[Call]) -> tuple[Call, ...]:
    return tuple(sorted(calls, key=lambda call: (call.sort_key, call.whom)))


def _call(
    whom: str,
    ask_for: str,
    phone: str,
    items: list[ChaseItem],
    note: str = "",
    supplier_id: int | None = None,
) -> Call:
    items.sort(key=_item_key)
    return Call(whom, ask_for, phone, tuple(items), note, supplier_id, sort_key=_item_key(items[0]))


def _item_key(item: ChaseItem) -> tuple[int, int, bool]:
    return (-item.days_at_stake, -item.press.days_late, not item.press.sets_date)


# Suppliers


def _supplier_calls(
    lines: list[OutLine], cars: tuple[CarAway, ...], facts: WorkshopFacts, stakes: dict[str, int]
) -> Iterator[Call]:
    suppliers: dict[int, Supplier] = {}
    items: dict[int, list[ChaseItem]] = {}
    for line in lines:
        ask = tuple(_line_asks(line, facts))
        supplier = line.operation.supplier
        if ask and supplier is not None:
            suppliers[supplier.pk] = supplier
            items.setdefault(supplier.pk, []).append(_line_item(line, ask, stakes))
    for car in cars:
        ask = tuple(_car_asks(car, facts))
        if ask:
            suppliers[car.away.supplier.pk] = car.away.supplier
            items.setdefault(car.away.supplier.pk, []).append(_car_item(car, ask))
    for key, supplier in suppliers.items():
        yield _call(supplier.name, supplier.contact, supplier.phone, items[key], supplier_id=key)


def _line_item(line: OutLine, ask: tuple[str, ...], stakes: dict[str, int]) -> ChaseItem:
    part = line.operation.part
    drawing = f", drawing {part.drawing_number}" if part.drawing_number else ""
    url = reverse("part", args=[part.pk]) + f"#line-{line.operation.pk}"
    pieces = f"{line.operation.pieces} off"
    return ChaseItem(
        what=f"{part.car}: {part}, {line.operation.process.name.lower()}, {pieces}{drawing}",
        ask=ask,
        url=url,
        press=line.press,
        days_at_stake=stakes.get(url, 0),
        car_id=part.car_id,
    )


def _line_asks(line: OutLine, facts: WorkshopFacts) -> Iterator[str]:
    promised, gone = line.operation.promised_on, line.gone
    since = f"{gone} since {short_day(line.operation.sent_on or facts.today, facts.today)}"
    if line.operation.back_on is not None:
        return
    if line.count.is_part:
        yield from _short_asks(line, since, facts.today)
    elif promised is None:
        yield f"{since}, no day promised: ask for a day"
    else:
        first = line.first_promise
        was = f"promised {short_day(first, facts.today)}, then" if first else "promised"
        words = f"{since}, {was} {short_day(promised, facts.today)}"
        spare = line.press.spare_days
        if line.facts.no_new_promise:
            yield f"{words}, {line.late_words}: when will it be here?"
        elif promised <= facts.today + SOON and spare is not None and spare <= LITTLE_SPARE_DAYS:
            yield f"{words}: is it ready?"
        elif line.late_words and (line.press.sets_date or spare is not None):
            yield f"{words}, {line.late_words}: can it come sooner?"
        elif line.press.sets_date:
            yield f"{words}: is it on time?"
    if line.drawing_question:
        yield line.drawing_question
    yield from line.sheet_questions


def _short_asks(line: OutLine, since: str, today: date) -> Iterator[str]:
    """Whatever there is to spare: pieces that are missing are not found by waiting."""
    count = line.count
    if count.lost:
        yield f"{count.lost} of {count.pieces} lost ({line.lost_how}): what will they do about it?"
    if not count.left:
        return
    words, promised = since, line.operation.promised_on
    if line.came_last:
        words += f", {count.back} of {count.pieces} back {short_day(line.came_last, today)}"
    if promised and promised >= today:
        words += f", the rest promised {short_day(promised, today)}"
    if line.late_words:
        words += f", {line.late_words}"
    yield f"{words}: where {'is' if count.left == 1 else 'are'} the other {count.left}?"


def _car_asks(car: CarAway, facts: WorkshopFacts) -> Iterator[str]:
    words = f"there for {car.away.what_for}, due back {short_day(car.away.due_back_on, facts.today)}"
    if car.press.days_late:
        yield f"{words}, {days_words(car.press.days_late)} late: when can it be fetched?"
    elif car.press.sets_date or car.away.due_back_on <= facts.today + SOON:
        yield f"{words}: is it on time?"


def _car_item(car: CarAway, ask: tuple[str, ...]) -> ChaseItem:
    away = car.away
    return ChaseItem(
        f"The car {away.car}", ask, reverse("car", args=[away.car_id]), car.press, 0, away.car_id
    )


# Decisions


def _is_pressing(owed: Owed, facts: WorkshopFacts) -> bool:
    return owed.press.sets_date or owed.decision.due_on <= facts.today + SOON


def _customer_calls(
    owed: tuple[Owed, ...], facts: WorkshopFacts, stakes: dict[str, int], with_customers: bool
) -> Iterator[Call]:
    items: dict[int, list[ChaseItem]] = {}
    cars = {}
    for each in owed:
        if _is_pressing(each, facts):
            car = cars.setdefault(each.decision.job.car_id, each.decision.job.car)
            items.setdefault(car.pk, []).append(_decision_item(each, facts, stakes))
    for key, car in cars.items():
        customer = car.customer if with_customers else None
        whom = f"{customer.name}, customer of {car}" if customer else f"The customer of {car}"
        note = "" if with_customers else "A manager has the number."
        yield _call(whom, "", customer.phone if customer else "", items[key], note)


def _decision_item(owed: Owed, facts: WorkshopFacts, stakes: dict[str, int]) -> ChaseItem:
    decision = owed.decision
    wanted = f"wanted by {short_day(decision.due_on, facts.today)}"
    if owed.press.days_late:
        wanted += f", {days_words(owed.press.days_late)} late"
    url = reverse("job", args=[decision.job_id])
    return ChaseItem(
        what=f"{decision.job.car}: {decision.question}",
        ask=(f"“{decision.job}” waits for the answer, {wanted}",),
        url=url,
        press=owed.press,
        days_at_stake=stakes.get(url, 0),
        car_id=decision.job.car_id,
    )

"""What happens in the demo while its days go by. All invented; the same days bring the same events.

- A car that was due back comes back.
- What was promised for these days comes in and is right; the first of it is put off by a week instead.
- The zinc batch that is out comes back: two pieces short, one of another part rejected. One that still waits
  is sent on the first of the days; where there is none, one is made of what is ready.
- What must be ordered or must go out by now is ordered and goes out, a few lines.
- Each car gets its fitter’s hours: jobs that hold the date first; what needs a signature gets one.
- A customer who owes an answer by now gives it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Count, F
from django.utils import timezone

from builds.models import Away, Car, Decision, Job, Person
from builds.network import WorkshopState, load_workshop
from builds.services.cars import car_comes_back
from builds.services.decisions import decision_answer
from builds.services.jobs import job_done, job_sign_off, job_start
from parts.models import FinishingBatch, Operation
from parts.services.batches import batch_save, batch_send
from parts.services.days import day_words
from parts.services.operations import comes_first, operation_count_in, operation_send
from parts.services.pieces import count_of
from parts.services.promises import supplier_promise

SHORT = 2
DULL = "dull patches: the bath was spent"
ZINC = "zinc_plate"
HOURS_A_DAY = 8
ORDERED_AT_MOST = 6
PROMISES_AT_MOST = 3
PUT_OFF = timedelta(days=7)


@dataclass(frozen=True)
class Span:
    """The days that went by, today the last of them, and who was there."""

    first: date
    today: date
    working: tuple[date, ...]  # of the workshop
    manager: Person
    fitters: tuple[Person, ...]

    def at_or_before(self, day: date) -> date:
        """The day itself, or the last working day before it; never one that is still to come."""
        past = [each for each in self.working if each <= day]
        return past[-1] if past else min(day, self.today)


def happen(*, days: int, today: date) -> list[str]:
    """Let the events of the last `days` days happen, and say each in a sentence."""
    first = today - timedelta(days=days - 1)
    people = list(Person.objects.order_by("pk"))
    span = Span(
        first=first,
        today=today,
        working=load_workshop(today).working_days(first, today),
        manager=next(person for person in people if person.is_manager),
        fitters=tuple(person for person in people if not person.is_manager),
    )
    said: list[str] = []
    for act in (_cars_come_back, _goods_come_in, _zinc, _goods_go_out, _jobs_get_done, _customers_answer):
        said += act(span)
    return said


def _tried(act: Callable[[], Any]) -> bool:
    """Whether it could be done: somebody who plays with the demo may have done it before, or otherwise."""
    try:
        act()
    except ValidationError:
        return False
    return True


# Cars, goods in


def _cars_come_back(span: Span) -> Iterator[str]:
    due = Away.objects.not_back().filter(due_back_on__lte=span.today, leaves_on__lte=span.today)
    for away in due.select_related("car", "supplier").order_by("pk"):
        on = max(away.due_back_on, span.first)
        if _tried(lambda away=away, on=on: car_comes_back(away=away, on=on, today=span.today)):
            yield f"{away.car} is back from {away.supplier}, {day_words(on)}."


def _goods_come_in(span: Span) -> Iterator[str]:
    due = Operation.objects.out().filter(promised_on__lte=span.today, part__car__handed_over_on=None)
    due = due.exclude(process__key=ZINC).select_related("part__car", "process", "supplier")
    is_put_off = False
    for line in due.annotate(promised=Count("promises")).order_by("promised_on", "pk"):
        assert line.promised_on is not None  # filtered
        assert line.sent_on is not None
        came = max(line.sent_on, span.at_or_before(line.promised_on))
        name = f"{line.part.car}: {line.part}, {line.process.name.lower()}"
        if not is_put_off and line.promised < PROMISES_AT_MOST:
            is_put_off = _tried(lambda line=line, came=came: _put_off(line, came, span))
            if is_put_off:
                yield f"{name} is put off to {day_words(span.today + PUT_OFF)}."
                continue
        taken = _tried(
            lambda line=line, came=came: operation_count_in(
                operation=line, on=came, by=span.fitters[0], accepted=count_of(line).left
            )
        )
        if taken:
            yield f"{name} came in {day_words(came)}."


def _put_off(line: Operation, on: date, span: Span) -> None:
    supplier_promise(
        operation=line, promised_on=span.today + PUT_OFF, on=on, by=span.manager, note="next week, they say"
    )


# The zinc batch


def _zinc(span: Span) -> Iterator[str]:
    out = _zinc_batches().filter(sent_on__isnull=False, operations__in=Operation.objects.out())
    batch = out.distinct().first()
    if batch is not None:
        yield from _comes_back_short(batch, span)
        return
    batch = _zinc_batches().filter(sent_on=None).first() or _made_of_what_is_ready(span)
    if batch is not None:
        yield from _goes_out(batch, span)


def _zinc_batches() -> Any:
    """The one that was chosen first, then the one for most cars."""
    batches = FinishingBatch.objects.filter(process__key=ZINC).select_related("supplier")
    cars = Count("operations__part__car", distinct=True)
    return (
        batches.annotate(cars=cars)
        .order_by(F("chosen_on").asc(nulls_last=True), "-cars", "pk")
        .filter(cars__gt=0)
    )


def _comes_back_short(batch: FinishingBatch, span: Span) -> Iterator[str]:
    lines = list(batch.operations.out().select_related("part__car", "process"))
    lines.sort(key=lambda line: (-line.pieces, line.pk))
    on = max(batch.sent_on or span.first, span.at_or_before(span.today))
    short = min(SHORT, count_of(lines[0]).left - 1)
    wrong = lines[1] if len(lines) > 1 else lines[0]
    for line in lines:
        left = count_of(line).left
        missing = short if line is lines[0] else 0
        rejected = 1 if line is wrong and left - missing > 0 else 0
        if left - missing > 0:
            operation_count_in(
                operation=line,
                on=on,
                by=span.fitters[1],
                accepted=left - missing - rejected,
                rejected=rejected,
                reason=DULL if rejected else "",
            )
    pieces = "1 piece" if short == 1 else f"{short} pieces"
    yield f"{_named(batch)} is back from {batch.supplier}, {day_words(on)}."
    if short:
        yield f"It is {pieces} short: {lines[0].part.car}, {lines[0].part}."
    yield f"One is rejected: {wrong.part.car}, {wrong.part}: {DULL}."


def _goes_out(batch: FinishingBatch, span: Span) -> Iterator[str]:
    lines = batch.operations.select_related("part__made_by").prefetch_related("part__operations")
    behind = [line.pk for line in lines if comes_first(line)]
    on = span.working[0] if span.working else span.first
    lead = max((line.lead_likely_days for line in lines), default=5)
    sent = _tried(
        lambda: batch_send(
            batch=batch,
            on=on,
            by=span.manager,
            promised_on=on + timedelta(days=lead * 7 // 5 + 1),
            leave_behind=behind,
        )
    )
    if sent:
        stays = f"; {len(behind)} not ready stayed here" if behind else ""
        yield f"{_named(batch)} went out to {batch.supplier}, {day_words(on)}{stays}."


def _made_of_what_is_ready(span: Span) -> FinishingBatch | None:
    """The finish that most cars have something ready for."""
    rows = Operation.objects.to_do().filter(process__key=ZINC, batch=None, supplier__isnull=False)
    rows = rows.filter(part__car__handed_over_on=None).select_related("part__made_by", "supplier")
    lots: dict[tuple[str, str, int | None], list[Operation]] = {}
    for row in rows.prefetch_related("part__operations__process", "after_jobs").order_by("pk"):
        if not comes_first(row):
            lots.setdefault((row.colour, row.coating_class, row.supplier_id), []).append(row)
    if not lots:
        return None
    lot = max(lots.values(), key=lambda found: (len({row.part.car_id for row in found}), len(found)))
    assert lot[0].supplier is not None  # filtered
    return batch_save(
        operation_ids=[row.pk for row in lot], supplier=lot[0].supplier, leaves="ready", today=span.today
    )


def _named(batch: FinishingBatch) -> str:
    name = str(batch)
    return name[0].upper() + name[1:]


# Goods out


def _goods_go_out(span: Span) -> Iterator[str]:
    """What is overdue to go or to be ordered, most urgent first."""
    facts = load_workshop(span.today).facts()
    rows = Operation.objects.to_do().open().at_suppliers().exclude(process__kind="finish")
    rows = rows.filter(part__car__handed_over_on=None).select_related("part__car", "part__made_by", "process")
    due = [
        (known.order_by, line.pk, line)
        for line in rows.prefetch_related("part__operations__process", "after_jobs")
        if (known := facts.operations.get(line.pk)) and known.order_by and known.order_by <= span.today
    ]
    on = span.working[-1] if span.working else span.today
    sent = 0
    for _, _, line in sorted(due, key=lambda each: each[:2]):
        promised = on + timedelta(days=line.lead_likely_days * 7 // 5 + 1)
        if sent < ORDERED_AT_MOST and _tried(
            lambda line=line, promised=promised: operation_send(
                operation=line, on=on, by=span.manager, promised_on=promised
            )
        ):
            sent += 1
            verb = "ordered" if line.process.kind == "supply" else "out"
            yield f"{line.part.car}: {line.part}, {line.process.name.lower()}, is {verb}, {day_words(on)}."


# Jobs and decisions


def _jobs_get_done(span: Span) -> Iterator[str]:
    """One fitter a car, eight hours a day; a job too long for what is left of the time stays in hand."""
    for number, car in enumerate(Car.objects.in_work().order_by("pk")):
        fitter = span.fitters[number % len(span.fitters)]
        done = _car_jobs(car, fitter, span)
        if done:
            yield f"{car}: {done} job{'s are' if done > 1 else ' is'} done."


def _car_jobs(car: Car, fitter: Person, span: Span) -> int:
    skills = set(fitter.skills.values_list("pk", flat=True))
    hours, done, passed = float(HOURS_A_DAY * len(span.working)), 0, set[int]()
    while hours > 0 and (job := _next_job(car, load_workshop(span.today), passed, skills)) is not None:
        passed.add(job.pk)
        needed = float(job.hours_likely) / max(1, job.people)
        spent = HOURS_A_DAY * len(span.working) - hours
        begins, ends = _moment(span, spent), _moment(span, spent + needed)
        fits = needed <= hours
        if job.started_at is None and not _tried(
            lambda job=job, begins=begins: job_start(job=job, by=fitter, at=begins)
        ):
            continue
        hours -= needed
        if fits and _tried(lambda job=job, ends=ends: _finish(job, fitter, ends, span)):
            done += 1
    return done


def _finish(job: Job, fitter: Person, at: datetime, span: Span) -> None:
    job_done(job=job, by=fitter, at=at)
    if job.needs_signature:
        job_sign_off(job=job, by=span.manager, at=at)


def _next_job(car: Car, state: WorkshopState, passed: set[int], skills: set[int]) -> Job | None:
    """Of what these skills can do: in hand first, what holds the date, what has least to spare."""
    facts = state.facts()
    jobs = Job.objects.of_car(car.pk).filter(done_at=None).exclude(place=Job.Place.AWAY).order_by("pk")
    able = [
        (known.condition != "in hand", not known.sets_date, known.spare_days or 1000, job.pk, job)
        for job in jobs
        if job.pk not in passed
        and (job.skill_id is None or job.skill_id in skills)
        and (known := facts.jobs.get(job.pk))
        and known.is_workable
    ]
    return min(able, key=lambda each: each[:4])[-1] if able else None


def _moment(span: Span, hours: float) -> datetime:
    """On the workshop's clock, after so many hours of the days that went by; never in the time to come."""
    day = span.working[min(int(hours // HOURS_A_DAY), len(span.working) - 1)]
    moment = datetime.combine(day, time(8)) + timedelta(hours=min(hours % HOURS_A_DAY, HOURS_A_DAY))
    return min(timezone.make_aware(moment), timezone.now())


def _customers_answer(span: Span) -> Iterator[str]:
    owed = Decision.objects.owed().filter(owed_by=Decision.OwedBy.CUSTOMER, due_on__lte=span.today)
    decision = owed.select_related("job__car").order_by("due_on", "pk").first()
    if decision is not None:
        decision_answer(
            decision=decision, answer="the first, as drawn", by=span.manager, at=_moment(span, HOURS_A_DAY)
        )
        yield f"The customer of {decision.job.car} has answered: {decision.question}"

"""What was tried under What if, made for real: each change by the service that makes it anyway."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from secrets import choice

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from builds.models import Milestone, Person, Skill, Workshop
from builds.models.workshop import WEEKDAYS
from builds.network import WorkshopState, load_workshop
from builds.network.calendars import public_holidays
from builds.network.changes import (
    BatchLeaves,
    Change,
    DueIn,
    Express,
    ExtraPerson,
    Overtime,
    PromiseMoved,
    PulledOut,
    read_changes,
)
from builds.network.keeping import jobs_moved, previous_of
from builds.network.levelled import levelled_plan
from builds.network.whatif import carriage_days, cheapest_plan, hours_words, shortened
from builds.schedule.levelling.plan import Plan, plan_of
from builds.services.cars import milestone_promise
from builds.services.people import (
    PersonDetails,
    day_in_words,
    overtime_create,
    person_create,
    span_in_words,
)
from builds.services.plans import plan_write
from builds.services.route_cards import line_write
from parts.models import FinishingBatch, Operation
from parts.services.batches import batch_save
from parts.services.parts import LineWording
from parts.services.promises import supplier_promise


@transaction.atomic
def changes_keep(*, lines: Sequence[str], reason: str, by: Person, at: datetime) -> list[str]:
    """Make the changes of one question, all or none; what was done, in words.

    The plan that is followed from then on is the one that the question showed. Raises ValidationError where a
    change cannot be made: nothing is changed then.
    """
    changes, wrong = read_changes(lines)
    if wrong:
        raise ValidationError("A line of the address cannot be read. Put the question together again.")
    today = timezone.localdate(at)
    state = load_workshop(today)
    before = state.ordered.levelled
    done = [_kept(change, state, reason, by, today) for change in changes]
    if before.kept is not None and before.plan is not None:
        _follow_as_tried(before.plan, at)
    return done


def _follow_as_tried(before: Plan, at: datetime) -> None:
    levelled = levelled_plan(load_workshop(timezone.localdate(at)).solution)
    if levelled.problem is None or levelled.kept is None:
        return
    tried = cheapest_plan(replace(levelled.problem, previous=None), before.placed)
    plan = plan_of(levelled.problem, tried.placed)
    moved = jobs_moved(previous_of(levelled.kept, levelled.problem), plan)
    plan_write(levelled=replace(levelled, plan=plan, moved=moved), at=at)


def _kept(change: Change, state: WorkshopState, reason: str, by: Person, today: date) -> str:
    if isinstance(change, ExtraPerson):
        return _person_kept(change)
    if isinstance(change, BatchLeaves):
        return _batch_kept(change, today)
    if isinstance(change, PulledOut):
        return _pull_kept(change, today)
    if isinstance(change, Express):
        return _express_kept(change, state, by)
    if isinstance(change, DueIn):
        line = _line(change.operation_id)
        supplier_promise(operation=line, promised_on=change.on, on=today, by=by, note=reason)
        return f"{line} is promised for {day_in_words(change.on)}."
    if isinstance(change, PromiseMoved):
        return _promise_kept(change, state, reason, by, today)
    assert isinstance(change, Overtime)
    return _overtime_kept(change)


def _overtime_kept(change: Overtime) -> str:
    person = Person.objects.filter(pk=change.person_id, is_active=True).first()
    if person is None:
        raise ValidationError("Whoever was to work longer is no longer here.")
    kept = overtime_create(person=person, first_day=change.first, last_day=change.last, hours=change.hours)
    return f"{person.name} works {hours_words(change.hours)} a day longer from {span_in_words(kept)}."


def _person_kept(change: ExtraPerson) -> str:
    if not change.name:
        raise ValidationError("Somebody new needs a name: take the line out and add it again with one.")
    skill = Skill.objects.filter(pk=change.skill_id).first()
    if skill is None:
        raise ValidationError("That skill is no longer there.")
    works = Workshop.objects.current().hours_by_weekday
    details = PersonDetails(
        name=change.name,
        role=Person.Role.FITTER,
        hours=tuple(change.hours if hours > 0 else hours for _, hours in zip(WEEKDAYS, works, strict=True)),
        skills=(skill,),
        here_from=change.first,
        here_until=change.last,
    )
    person = person_create(details=details, secret=_nobodys_pin())
    span = f"from {day_in_words(change.first)} to {day_in_words(change.last)}"
    return f"{person.name} is entered, here {span}; give them a PIN on their page before they sign in."


def _nobodys_pin() -> str:
    """A PIN that nobody is told. Its first two digits differ and it runs neither up nor down."""
    return "73" + "".join(choice("0123456789") for _ in range(6))


def _batch_kept(change: BatchLeaves, today: date) -> str:
    batch = _batch(change.batch_id)
    members = list(batch.operations.values_list("pk", flat=True))
    _batch_saved(batch, members, today, leaves=FinishingBatch.Leaves.FIXED, planned_on=change.on)
    return f"{str(batch).capitalize()} goes on {day_in_words(change.on)} with what is ready by then."


def _pull_kept(change: PulledOut, today: date) -> str:
    line = _line(change.operation_id)
    if line.batch is None:
        raise ValidationError(f"“{line}” is in no batch any more.")
    members = [pk for pk in line.batch.operations.values_list("pk", flat=True) if pk != line.pk]
    if not members:
        raise ValidationError(f"“{line}” is all that its batch holds: dissolve the batch instead.")
    batch = line.batch
    _batch_saved(batch, members, today, leaves=batch.leaves, planned_on=batch.planned_on)
    return f"“{line}” is out of {batch} and goes by itself."


def _batch_saved(
    batch: FinishingBatch, members: list[int], today: date, *, leaves: str, planned_on: date | None
) -> None:
    workshop = Workshop.objects.current()
    batch_save(
        operation_ids=members,
        supplier=batch.supplier,
        leaves=leaves,
        planned_on=planned_on,
        note=batch.note,
        today=today,
        batch=batch,
        version=batch.version,
        public_holidays=public_holidays(workshop.country, workshop.region, today.year, today.year + 4),
    )


def _express_kept(change: Express, state: WorkshopState, by: Person) -> str:
    line = _line(change.operation_id)
    row = state.model.open_operations.get(line.pk)
    if row is None or row.state != "to do":
        raise ValidationError(f"“{line}” has gone already: ask for another day instead.")
    low, likely, high = shortened(row, change.days - carriage_days(state.model.rows, row))
    wording = LineWording(
        process=line.process,
        supplier=line.supplier,
        lead_low_days=low,
        lead_likely_days=likely,
        lead_high_days=high,
        colour=line.colour,
        coating_class=line.coating_class,
        specification=line.specification,
        masking=line.masking,
        cost=line.cost,
        after_jobs=list(line.after_jobs.all()),
        follows=line.part.operations.filter(sequence__lt=line.sequence).order_by("sequence").last(),
        makes_good=line.reworks,
    )
    line_write(part=line.part, wording=wording, operation=line, version=line.version, by=by)
    return f"“{line}” takes {likely} working days now, carriage apart."


def _promise_kept(change: PromiseMoved, state: WorkshopState, reason: str, by: Person, today: date) -> str:
    if not reason.strip():
        raise ValidationError("Say why the promise moves: the reason is kept with it.")
    milestone = Milestone.objects.select_related("car").filter(pk=change.milestone_id).first()
    if milestone is None:
        raise ValidationError("That milestone is no longer there.")
    own = state.dated().cars.get(milestone.car_id)
    found = [one for one in own.milestones if one.milestone_id == milestone.pk] if own else []
    milestone_promise(
        milestone=milestone,
        promised_on=change.on,
        reason=reason,
        by=by,
        today=today,
        forecast=found[0].window if found else None,
    )
    return f"{milestone.car}: {milestone} is promised for {day_in_words(change.on)}."


def _line(pk: int) -> Operation:
    line = Operation.objects.select_related("part__car", "process", "supplier", "batch").filter(pk=pk).first()
    if line is None:
        raise ValidationError("A line of a route card is no longer there.")
    return line


def _batch(pk: int) -> FinishingBatch:
    batch = FinishingBatch.objects.waiting().filter(pk=pk).select_related("supplier", "process").first()
    if batch is None:
        raise ValidationError("That batch has gone or been dissolved meanwhile.")
    return batch

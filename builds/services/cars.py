"""What is written about a car itself: its card, where it is, its milestones and promises."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta
from hashlib import sha256
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.facts import Window
from builds.models import Away, Car, Customer, Job, Milestone, MilestonePromise, Person
from builds.services.people import day_in_words
from parts.models import Supplier
from parts.services.days import check_has_been, check_near

FARTHEST_PROMISE = timedelta(days=5 * 366)  # the calendars reach a year further
CHANGED_MEANWHILE = "{} was changed by somebody else meanwhile. Look at it afresh, then change it again."


@transaction.atomic
def car_save(*, car: Car, version: int, customer: dict[str, str], **fields: Any) -> Car:
    """Change a car's card and its customer's. Raises ValidationError if somebody else changed it first."""
    locked = Car.objects.select_for_update(of=("self",))  # PostgreSQL locks no row that may be missing
    current = locked.select_related("customer").get(pk=car.pk)
    if current.version != version:
        raise ValidationError(CHANGED_MEANWHILE.format(current.name))
    _check_car_days(current, fields)
    for name, value in fields.items():
        setattr(current, name, value)
    current.customer = _customer_save(current.customer, customer)
    current.version += 1
    current.full_clean()
    current.save()
    return current


def _check_car_days(current: Car, fields: dict[str, Any]) -> None:
    """Only days that are new: an old car may have come in long ago."""
    arrived, handed_over = fields.get("arrived_on"), fields.get("handed_over_on")
    if arrived is not None and arrived != current.arrived_on:
        check_near(arrived, field="arrived_on")
    if handed_over is not None and handed_over != current.handed_over_on:
        check_has_been(handed_over, field="handed_over_on")


def _customer_save(customer: Customer | None, fields: dict[str, str]) -> Customer | None:
    """The customer of the car, changed or made; None stays None while nothing is typed."""
    if customer is None:
        if not any(fields.values()):
            return None
        customer = Customer()
    if not fields.get("name"):
        raise ValidationError({"customer_name": "The customer needs a name."})
    for name, value in fields.items():
        setattr(customer, name, value)
    customer.full_clean()
    customer.save()
    return customer


@transaction.atomic
def car_goes_away(*, car: Car, supplier: Supplier, what_for: str, leaves_on: date, due_back_on: date) -> Away:
    """Book a stay at a supplier, or record that the car has gone. Two stays may not overlap."""
    Car.objects.select_for_update().get(pk=car.pk)
    away = Away(
        car=car, supplier=supplier, what_for=what_for.strip(), leaves_on=leaves_on, due_back_on=due_back_on
    )
    away.full_clean()
    check_near(leaves_on, field="leaves_on")
    check_near(due_back_on, field="due_back_on")
    _check_one_place(away)
    away.save()
    return away


@transaction.atomic
def away_change(*, away: Away, due_back_on: date) -> Away:
    """Record a new day on which the car is due back. Two stays may not overlap."""
    Car.objects.select_for_update().get(pk=away.car_id)
    away = Away.objects.select_for_update().select_related("car").get(pk=away.pk)
    if away.back_on is not None:
        raise ValidationError(f"{away.car} is back already.")
    away.due_back_on = due_back_on
    away.full_clean()
    check_near(due_back_on, field="due_back_on")
    _check_one_place(away)
    away.save(update_fields=["due_back_on"])
    return away


def _check_one_place(away: Away) -> None:
    others = Away.objects.not_back().filter(car=away.car).exclude(pk=away.pk).select_related("supplier")
    for other in others:
        if other.leaves_on < away.due_back_on and away.leaves_on < other.due_back_on:
            raise ValidationError(
                f"{away.car} is booked at {other.supplier} from {day_in_words(other.leaves_on)} to "
                f"{day_in_words(other.due_back_on)}: it cannot be in two places. Change that stay first."
            )


@transaction.atomic
def car_comes_back(*, away: Away, on: date, today: date) -> Away:
    """Record that the car is back. A second press for the same day changes nothing."""
    away = Away.objects.select_for_update().select_related("car").get(pk=away.pk)
    if away.back_on == on:
        return away
    if away.back_on is not None:
        raise ValidationError(f"{away.car} is back already.")
    if on > today:
        raise ValidationError({"on": "That day has not come yet. Give today or an earlier day."})
    if on < away.leaves_on:
        left = day_in_words(away.leaves_on)
        raise ValidationError({"on": f"{away.car} cannot be back before it left on {left}."})
    away.back_on = on
    away.save(update_fields=["back_on"])
    return away


@transaction.atomic
def away_cancel(*, away: Away, today: date) -> None:
    """Strike out a stay that has not begun."""
    if away.leaves_on <= today:
        raise ValidationError("The car has gone already; record when it comes back instead.")
    away.delete()


@transaction.atomic
def milestone_save(
    *,
    car: Car,
    kind: str,
    name: str,
    jobs: Collection[Job],
    milestone: Milestone | None = None,
    seen: str = "",
) -> Milestone:
    """Make a milestone, or change one that looked like `seen` (see `milestone_seen`) when it was opened.

    Raises ValidationError if somebody else changed it meanwhile, or a job is not one of the car's.
    """
    if milestone is None:
        milestone = Milestone(car=car)
    else:
        milestone = Milestone.objects.select_for_update().get(pk=milestone.pk)
        if milestone_seen(milestone) != seen:
            raise ValidationError(CHANGED_MEANWHILE.format(f"“{milestone}”"))
    milestone.kind = kind
    milestone.name = name.strip() if kind == Milestone.Kind.OWN else Milestone.Kind(kind).label
    strangers = [job.title for job in jobs if job.car_id != car.pk]
    if strangers:
        raise ValidationError({"jobs": f"Not a job of {car}: {', '.join(strangers)}."})
    if not jobs:
        raise ValidationError({"jobs": "Tick at least one job that the milestone is reached after."})
    milestone.full_clean()
    milestone.save()
    milestone.jobs.set(jobs)
    return milestone


def milestone_seen(milestone: Milestone) -> str:
    """A mark that changes when the milestone's name or its jobs do."""
    jobs = sorted(milestone.jobs.values_list("pk", flat=True))
    return sha256(f"{milestone.kind}\n{milestone.name}\n{jobs}".encode()).hexdigest()[:16]


@transaction.atomic
def milestone_promise(
    *,
    milestone: Milestone,
    promised_on: date,
    reason: str,
    by: Person,
    today: date,
    forecast: Window | None = None,
    weight: int | None = None,
) -> MilestonePromise:
    """Keep a new promise beside the old ones, with what was forecast when it was given.

    The same day twice running is not a new promise; it may come with another `weight`, which says how much a
    late day matters (None: as it was).
    """
    milestone = Milestone.objects.select_for_update().get(pk=milestone.pk)
    last = milestone.promises.last()
    if last is not None and last.promised_on == promised_on:
        if weight is not None and weight != milestone.weight:
            _weight_save(milestone, weight)
            return last
        raise ValidationError({"promised_on": "That is the day already promised."})
    if promised_on < today:
        raise ValidationError({"promised_on": "That day is past. Promise a day to come."})
    if promised_on - today > FARTHEST_PROMISE:
        raise ValidationError({"promised_on": "That is more than five years away. Check the year."})
    promise = MilestonePromise(
        milestone=milestone,
        promised_on=promised_on,
        given_on=today,
        reason=reason.strip(),
        by=by,
        even_chance_on=forecast and forecast.even_chance,
        four_in_five_on=forecast and forecast.four_in_five,
    )
    promise.full_clean()
    if weight is not None:
        _weight_save(milestone, weight)
    promise.save()
    return promise


def _weight_save(milestone: Milestone, weight: int) -> None:
    milestone.weight = weight
    milestone.clean_fields(exclude=["car", "kind", "name"])
    milestone.save(update_fields=["weight"])

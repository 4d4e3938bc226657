"""Time spent on jobs: by the clock, or typed in afterwards."""

from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils import timezone
from django.utils.dateformat import format as date_format

from builds.models import Job, Person, TimeSpent
from parts.services.days import check_near

DAY_MINUTES = 24 * 60
LONGEST_MINUTES = 7 * DAY_MINUTES  # a clock left running over a holiday stops counting here
SAME_PRESS = timedelta(minutes=2)  # the same thing sent again so soon is a second press, not a second fact


@transaction.atomic
def clock_start(*, job: Job, person: Person, at: datetime) -> TimeSpent:
    """Run the person's clock on the job; a clock that runs on another job is stopped with its minutes."""
    Person.objects.select_for_update().get(pk=person.pk)  # two starts at once take their turn here
    running = TimeSpent.objects.select_for_update().running().filter(person=person).first()
    if running is not None:
        if running.job_id == job.pk:
            return running
        _stop(running, at)
    return TimeSpent.objects.create(job=job, person=person, started_at=at)


@transaction.atomic
def clock_stop(*, job: Job, person: Person, at: datetime) -> TimeSpent | None:
    """Stop the person's clock on the job. None, and nothing changed, where it does not run."""
    running = TimeSpent.objects.select_for_update().running().filter(person=person, job=job).first()
    if running is not None:
        _stop(running, at)
    return running


@transaction.atomic
def clocks_stop(*, job: Job, at: datetime) -> list[TimeSpent]:
    """Stop every clock that runs on the job."""
    running = list(TimeSpent.objects.select_for_update().running().filter(job=job))
    for entry in running:
        _stop(entry, at)
    return running


@transaction.atomic
def time_typed(*, job: Job, person: Person, minutes: int, on: date, at: datetime) -> TimeSpent:
    """Note time that no clock saw. The same press again within two minutes changes nothing.

    Raises ValidationError for a day that has not come, no time at all, or a day of more than 24 hours.
    """
    Person.objects.select_for_update().get(pk=person.pk)  # two presses at once take their turn here
    local = timezone.localtime(at)
    if on > local.date():
        raise ValidationError({"on": "Time can only be noted for today or a day gone by."})
    check_near(on, field="on", today=local.date())
    if not 1 <= minutes <= DAY_MINUTES:
        raise ValidationError({"minutes": "The time must be between 1 minute and 24 hours."})
    # the day is what counts; the time of day is that of the press, which tells one press from the next
    started_at = timezone.make_aware(datetime.combine(on, local.time().replace(tzinfo=None)))
    of_day = TimeSpent.objects.filter(person=person, started_at__date=on)
    # after it as well: of two at once the later press may have been the first to be kept
    about_then = (started_at - SAME_PRESS, started_at + SAME_PRESS)
    again = of_day.filter(job=job, minutes=minutes, started_at__range=about_then)
    if (entry := again.first()) is not None:
        return entry
    so_far = of_day.aggregate(total=Sum("minutes"))["total"] or 0
    if so_far + minutes > DAY_MINUTES:
        noted = f"{so_far // 60} h {so_far % 60} min on {date_format(on, 'j M Y')}"
        raise ValidationError({"minutes": f"{person} has {noted} already: no day has more than 24 hours."})
    return TimeSpent.objects.create(job=job, person=person, started_at=started_at, minutes=minutes)


@transaction.atomic
def time_corrected(*, entry: TimeSpent, minutes: int, by: Person) -> TimeSpent:
    """Put right the minutes of a stopped clock, left running overnight for example; 0 takes it out.

    Raises ValidationError if the clock still runs, the time is somebody else's, or the minutes are wrong.
    """
    entry = TimeSpent.objects.select_for_update().select_related("person").get(pk=entry.pk)
    if entry.person_id != by.pk and not by.is_manager:
        raise ValidationError(f"This is the time of {entry.person}; only a manager may put it right.")
    if entry.minutes is None:
        raise ValidationError("This clock is still running: stop it first.")
    if not 0 <= minutes <= LONGEST_MINUTES:
        raise ValidationError({"minutes": "The time must be between 0 minutes and 7 days."})
    entry.minutes = minutes
    entry.save(update_fields=["minutes"])
    return entry


def _stop(entry: TimeSpent, at: datetime) -> None:
    passed = int((at - entry.started_at).total_seconds() // 60)
    entry.minutes = min(max(passed, 0), LONGEST_MINUTES)
    entry.save(update_fields=["minutes"])

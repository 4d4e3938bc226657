from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from builds.models import TimeSpent
from builds.services.jobs import job_start
from builds.services.time import clock_start, clock_stop, time_corrected, time_typed

TODAY = date(2026, 11, 26)


def test_a_stopped_clock_keeps_whole_minutes(tern, make_job, fitter, at):
    job = make_job(tern, "Fit radiator")
    clock_start(job=job, person=fitter, at=at)
    clock_stop(job=job, person=fitter, at=at + timedelta(minutes=47, seconds=50))
    assert TimeSpent.objects.get().minutes == 47


def test_stopping_twice_changes_nothing(tern, make_job, fitter, at, later):
    job = make_job(tern, "Fit radiator")
    clock_start(job=job, person=fitter, at=at)
    clock_stop(job=job, person=fitter, at=later)
    assert clock_stop(job=job, person=fitter, at=later + timedelta(hours=1)) is None
    assert TimeSpent.objects.get().minutes == 120


def test_a_clock_forgotten_for_weeks_stops_at_seven_days(tern, make_job, fitter, at):
    job = make_job(tern, "Fit radiator")
    clock_start(job=job, person=fitter, at=at)
    clock_stop(job=job, person=fitter, at=at + timedelta(days=20))
    assert TimeSpent.objects.get().minutes == 7 * 24 * 60


def test_typed_time_counts_for_its_day(tern, make_job, fitter, at):
    time_typed(job=make_job(tern, "Fit radiator"), person=fitter, minutes=90, on=date(2026, 11, 24), at=at)
    entry = TimeSpent.objects.get()
    assert (entry.minutes, entry.started_at.date()) == (90, date(2026, 11, 24))


def test_typed_time_pressed_twice_is_kept_once_and_typed_again_later_twice(tern, make_job, fitter, at):
    job = make_job(tern, "Fit radiator")
    for moment in (at, at + timedelta(seconds=20), at + timedelta(hours=3)):
        time_typed(job=job, person=fitter, minutes=30, on=TODAY, at=moment)
    assert TimeSpent.objects.count() == 2


@pytest.mark.parametrize(
    ("minutes", "on", "words"),
    [
        (30, date(2026, 11, 27), "a day gone by"),
        (30, date(1, 1, 1), "over five years ago"),
        (0, TODAY, "between 1 minute and 24 hours"),
        (-5, TODAY, "between 1 minute and 24 hours"),
        (1441, TODAY, "between 1 minute and 24 hours"),
    ],
)
def test_impossible_times_are_refused(tern, make_job, fitter, at, minutes, on, words):
    with pytest.raises(ValidationError, match=words):
        time_typed(job=make_job(tern, "Fit radiator"), person=fitter, minutes=minutes, on=on, at=at)
    assert not TimeSpent.objects.exists()


def test_a_day_has_no_more_than_24_hours(tern, make_job, fitter, at, later):
    job = make_job(tern, "Fit radiator")
    time_typed(job=job, person=fitter, minutes=1200, on=TODAY, at=at)
    with pytest.raises(ValidationError, match="20 h 0 min on 26 Nov 2026 already"):
        time_typed(job=job, person=fitter, minutes=300, on=TODAY, at=later)
    assert TimeSpent.objects.count() == 1


def test_a_clock_left_running_is_put_right_by_its_owner_or_a_manager(
    tern, make_job, fitter, manager, at, later
):
    job = make_job(tern, "Fit radiator")
    clock_start(job=job, person=fitter, at=at)
    entry = clock_stop(job=job, person=fitter, at=later)
    time_corrected(entry=entry, minutes=60, by=fitter)
    assert TimeSpent.objects.get().minutes == 60
    time_corrected(entry=entry, minutes=0, by=manager)
    assert TimeSpent.objects.get().minutes == 0


def test_another_fitters_time_and_a_running_clock_stay(tern, make_job, fitter, other_fitter, at, later):
    job = make_job(tern, "Fit radiator")
    job_start(job=job, by=fitter, at=at)
    entry = TimeSpent.objects.get()
    with pytest.raises(ValidationError, match="still running"):
        time_corrected(entry=entry, minutes=5, by=fitter)
    clock_stop(job=job, person=fitter, at=later)
    with pytest.raises(ValidationError, match="only a manager"):
        time_corrected(entry=entry, minutes=5, by=other_fitter)
    assert TimeSpent.objects.get().minutes == 120

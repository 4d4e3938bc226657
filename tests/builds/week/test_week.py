"""The plan with the people there are. The levelling core is tested in tests/builds/schedule/levelling."""

from datetime import date, datetime

import pytest
from django.utils import timezone

from builds.models import Absence, Skill
from builds.network import load_workshop
from builds.network.levelled import levelled_plan
from builds.schedule.calendar import from_minutes
from builds.sheets.week import read_week
from builds.templatetags.days import short_day

TODAY = date(2027, 3, 3)  # a Wednesday without holidays near it


@pytest.fixture
def welder(fitter):
    skill = Skill.objects.create(name="welder")
    fitter.skills.add(skill)
    return skill


def _plan(milestone_or_job):
    plan = levelled_plan(load_workshop(TODAY).solution)
    assert plan.refusal == ""
    return plan.plan.placed[f"job:{milestone_or_job.pk}"]


@pytest.mark.django_db
def test_one_person_does_two_jobs_one_after_the_other(tern, skua, fitter, make_job):
    one, two = make_job(tern, "one"), make_job(skua, "two")

    first, second = sorted((_plan(one), _plan(two)), key=lambda placed: placed.start)

    assert from_minutes(first.finish).date() == TODAY
    assert from_minutes(second.start).date() == date(2027, 3, 4)
    assert first.people == second.people == (f"person:{fitter.pk}",)


@pytest.mark.django_db
def test_two_people_do_them_side_by_side(tern, skua, fitter, other_fitter, make_job):
    one, two = make_job(tern, "one"), make_job(skua, "two")

    assert _plan(one).start == _plan(two).start
    assert _plan(one).people != _plan(two).people


@pytest.mark.django_db
def test_only_the_welder_welds(tern, fitter, other_fitter, welder, make_job):
    jobs = [make_job(tern, title, skill=welder) for title in ("seam", "bracket")]

    assert {_plan(job).people for job in jobs} == {(f"person:{fitter.pk}",)}


@pytest.mark.django_db
def test_an_absence_is_kept(tern, fitter, make_job):
    Absence.objects.create(person=fitter, first_day=TODAY, last_day=date(2027, 3, 5))

    assert from_minutes(_plan(make_job(tern, "one")).start).date() == date(2027, 3, 8)


@pytest.mark.django_db
def test_a_skill_that_nobody_has_is_named_and_everything_else_is_planned(tern, skua, fitter, make_job):
    glazier = Skill.objects.create(name="glazier")
    screens = [make_job(tern, title, skill=glazier) for title in ("Fit screens", "Fit lights")]
    make_job(skua, "Fit seats")

    plan = levelled_plan(load_workshop(TODAY).solution)

    assert plan.refusal == ""
    assert plan.cautions == (
        "“Fit screens” (Tern) needs 1 with the skill glazier, and there is nobody. It is planned as if "
        "somebody were free for it; so is 1 more job that asks for the same.",
    )
    people = {key: one.people for key, one in plan.plan.placed.items()}
    assert [people[f"job:{job.pk}"] for job in screens] == [(), ()]
    assert f"person:{fitter.pk}" in {who for crew in people.values() for who in crew}
    assert plan.cautions[0] in read_week(TODAY, TODAY).problems


def test_where_nobody_is_entered_no_plan_is_made(tern, make_job):
    make_job(tern, "Fit screens", skill=Skill.objects.create(name="glazier"))

    plan = levelled_plan(load_workshop(TODAY).solution)

    assert (plan.plan, plan.cautions) == (None, ())
    assert plan.refusal == "“Fit screens” (Tern) needs 1 with the skill glazier, and there is nobody."


@pytest.mark.django_db
def test_the_sheet_shows_hours_and_what_is_to_spare(tern, fitter, make_job):
    make_job(tern, "one", hours=12)

    week = read_week(TODAY, TODAY)

    days = week.people[0].days
    assert week.days == tuple(date(2027, 3, day) for day in (3, 4, 5, 8, 9))
    assert [[spell.hours for spell in day.spells] for day in days] == [[8], [4], [], [], []]
    assert [day.spare for day in days] == [0, 4, 8, 8, 8]


@pytest.mark.django_db
def test_a_clear_job_says_whom_it_waits_for(tern, skua, fitter, make_job):
    began = timezone.make_aware(datetime(2027, 3, 2, 8))
    make_job(tern, "Rewire", hours=24, started_at=began, started_by=fitter)  # in hand, so it goes on first
    make_job(skua, "Weld", hours=4)

    held = {one.title: one.why for one in read_week(TODAY, TODAY).waiting}

    assert held == {"Weld": ("the only one who can, Rafe Holloway, who is on “Rewire” (Tern) until Friday",)}


def test_the_page_shows_people_and_dates(as_fitter, fitter, tern, make_job, first_start_up):
    first_start_up(tern, make_job(tern, "Rewire", hours=24))

    page = as_fitter.get("/week/").content.decode()

    assert "Rafe Holloway" in page
    assert "Rewire" in page
    assert "First start-up with the people there are" in page


@pytest.mark.parametrize("day", ["", "nonsense", "9999-12-31", "2001-01-01"])
def test_a_day_that_cannot_be_shows_this_week(as_fitter, fitter, tern, make_job, day):
    make_job(tern, "Rewire", hours=24)
    days = read_week(timezone.localdate(), timezone.localdate()).days

    page = as_fitter.get("/week/", {"from": day}).content.decode()

    assert f"{days[0].day} {days[0]:%b}" in page


def test_without_people_it_says_what_to_do(as_manager, tern):
    assert "Nobody is entered who works on cars" in as_manager.get("/week/").content.decode()


def test_the_page_comes_at_once_and_fetches_what_is_drawn_over(
    as_fitter, fitter, tern, make_job, first_start_up
):
    first_start_up(tern, make_job(tern, "Rewire", hours=24))

    page = as_fitter.get("/week/").content.decode()

    assert 'hx-get="/week/?people=1" hx-trigger="load" hx-select="#dates"' in page
    assert '<a href="/week/?people=1">work the dates out</a>' in page  # without script


def test_first_start_up_stands_as_even_chance_and_four_in_five_beside_the_promise(
    as_fitter, fitter, tern, make_job, first_start_up
):
    today = timezone.localdate()
    first_start_up(tern, make_job(tern, "Rewire", hours=200), promised=today)

    car = read_week(today, today, with_windows=True).cars[0]
    page = as_fitter.get("/week/", {"people": "1"}).content.decode()

    own = load_workshop(today).dated().cars[tern.pk].first_start_up
    assert (car.window, car.late) == (own.window, own.slip_days)  # as on Cars and on the car's own sheet
    dates = page[page.index('id="dates"') :]
    for day in (car.window.even_chance, car.window.four_in_five, car.promised_on):
        assert short_day(day) in dates
    assert f"{car.late} working days short" in dates
    assert "hx-get" not in dates[: dates.index(">")]


def test_a_week_further_on_keeps_its_day_when_it_fetches_dates(
    as_fitter, fitter, tern, make_job, first_start_up
):
    first_start_up(tern, make_job(tern, "Rewire", hours=24))
    later = read_week(timezone.localdate(), timezone.localdate()).later

    page = as_fitter.get("/week/", {"from": f"{later:%Y-%m-%d}"}).content.decode()

    assert f'hx-get="/week/?people=1&amp;from={later:%Y-%m-%d}"' in page

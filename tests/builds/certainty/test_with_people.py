"""Dates with the people there are. Days are counted by hand from Wednesday 3 March 2027."""

from datetime import date, timedelta

import pytest

from builds.models import Away, Skill
from builds.network import load_workshop
from builds.sheets.certainty import read_certainty
from builds.sheets.differing import why_dates_differ

TODAY = date(2027, 3, 3)
pytestmark = pytest.mark.django_db


@pytest.fixture
def welder(fitter):
    skill = Skill.objects.create(name="welder")
    fitter.skills.add(skill)
    return skill


@pytest.fixture
def two_cars(tern, skua, fitter, other_fitter, welder, make_job, first_start_up):
    """Skua's seam is promised first, and Tern's waits for the only welder. Nothing has a spread."""
    first_start_up(skua, make_job(skua, "weld sill", hours=16, skill=welder), promised=date(2027, 3, 4))
    seam = make_job(tern, "weld seam", hours=8, skill=welder)
    return first_start_up(tern, make_job(tern, "fit wing", hours=4, after=[seam]), promised=date(2027, 3, 12))


def start_up(car):
    state = load_workshop(TODAY)
    return state, state.dated().cars[car.pk].first_start_up


def test_all_three_dates_and_the_person_waited_for(tern, two_cars):
    _, milestone = start_up(tern)

    # bare: seam on the 3rd, wing on the morning of the 4th; the welder is on Skua on the 3rd and 4th
    assert milestone.bare_on == date(2027, 3, 4)
    assert milestone.on == date(2027, 3, 8)
    assert milestone.window.even_chance == milestone.window.four_in_five == date(2027, 3, 8)
    assert milestone.slip_days == -4
    assert [step.text for step in milestone.chain] == [
        "waits for the only welder, Rafe Holloway, who is on “weld sill” (Skua) until Thursday",
        "weld seam",
        "fit wing",
    ]
    assert [step.is_waiting for step in milestone.chain] == [True, False, False]


def test_the_page_says_why_the_dates_differ(tern, two_cars):
    state, milestone = start_up(tern)

    assert why_dates_differ(state, milestone) == (
        "If somebody were always free and all took what is likely, it would be Thu 4 Mar; with the people "
        "there are, Mon 8 Mar, 2 working days later, as it waits for the only welder, Rafe Holloway, who is "
        "on “weld sill” (Skua) until Thursday. Jobs and suppliers take longer than is likely more often than "
        "shorter, and where strands meet the latest sets the date: as likely as not it is Mon 8 Mar, and "
        "four times in five no later than Mon 8 Mar."
    )


def test_several_jobs_of_one_person_are_one_wait(tern, skua, fitter, welder, make_job, first_start_up):
    one = make_job(skua, "weld sill", hours=8, skill=welder)
    first_start_up(skua, make_job(skua, "weld floor", hours=8, skill=welder, after=[one]), promised=TODAY)
    first_start_up(tern, make_job(tern, "weld seam", hours=8, skill=welder))

    _, milestone = start_up(tern)

    assert milestone.chain[0].text == (
        "waits for the only welder, Rafe Holloway, who is on “weld floor” (Skua) and 1 more before it "
        "until Thursday"
    )
    assert (milestone.chain[0].start_on, milestone.chain[0].finish_on) == (TODAY, date(2027, 3, 4))


def test_where_others_could_do_it_too_nobody_is_the_only_one(
    tern, skua, fitter, other_fitter, make_job, first_start_up
):
    for title in ("sill", "floor"):
        make_job(skua, title, hours=16)
    first_start_up(skua, *skua.jobs.all(), promised=TODAY)
    first_start_up(tern, make_job(tern, "seam", hours=8))

    _, milestone = start_up(tern)

    assert milestone.chain[0].text.startswith("waits for ")
    assert "the only" not in milestone.chain[0].text


def test_more_people_make_the_dates_those_of_the_critical_path(tern, two_cars, other_fitter, welder):
    other_fitter.skills.add(welder)

    _, milestone = start_up(tern)

    assert milestone.on == milestone.bare_on == date(2027, 3, 4)


def test_a_skill_that_nobody_has_is_named_and_the_others_are_counted(
    tern, skua, fitter, make_job, first_start_up
):
    glazier = Skill.objects.create(name="glazier")
    first_start_up(tern, make_job(tern, "fit screens", skill=glazier))
    first_start_up(skua, make_job(skua, "weld", hours=8), make_job(skua, "grind", hours=8))

    state, milestone = start_up(tern)

    assert (milestone.on, milestone.has_people) == (TODAY, True)
    assert [words for words in state.dated().problems if "glazier" in words] == [
        "“fit screens” (Tern) needs 1 with the skill glazier, and there is nobody. It is planned as if "
        "somebody were free for it."
    ]
    other = state.dated().cars[skua.pk].first_start_up
    assert (other.bare_on, other.on) == (TODAY, TODAY + timedelta(days=1))  # one person, two days


def test_with_nobody_at_all_the_bare_dates_stay_and_say_why(tern, make_job, first_start_up):
    glazier = Skill.objects.create(name="glazier")
    first_start_up(tern, make_job(tern, "fit screens", skill=glazier))

    state, milestone = start_up(tern)

    assert (milestone.on, milestone.has_people) == (TODAY, False)
    assert "could not be counted (“fit screens” (Tern) needs 1" in why_dates_differ(state, milestone)


def test_the_pieces_of_one_batch_are_one_contributor(
    tern, fitter, plater, process, make_job, make_part, first_start_up
):
    from parts.models import FinishingBatch, Operation

    batch = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    pieces = [make_part(tern, f"hook {number}", route=[("zinc_plate", plater, 5)]) for number in (1, 2, 3)]
    Operation.objects.update(batch=batch, lead_low_days=3, lead_high_days=20)
    first_start_up(tern, make_job(tern, "fit hooks", needs=pieces, hours=4))

    found = read_certainty(tern, load_workshop(TODAY))

    assert [one.text for one in found.contributors] == [
        f"zinc plate batch {batch.pk}, 3 pieces at Ferrand Plating"
    ]
    assert len(found.contributors[0].keys) == 3
    assert [one.text for one in found.firm] == [found.contributors[0].text]


def test_a_car_that_is_away_says_so_with_the_people_counted_too(
    tern, fitter, plater, make_job, first_start_up
):
    Away.objects.create(
        car=tern, supplier=plater, what_for="paint", leaves_on=TODAY, due_back_on=date(2027, 3, 9)
    )
    first_start_up(tern, make_job(tern, "fit wing", hours=8))

    _, milestone = start_up(tern)

    # back at midday on the 9th: four hours that day, four on the next
    assert (milestone.has_people, milestone.on) == (True, date(2027, 3, 10))
    assert milestone.chain[0].short == "away at Ferrand Plating"


def test_what_belongs_to_another_car_says_who_goes_on_from_it(
    tern, skua, fitter, welder, make_job, first_start_up
):
    long = {"hours_low": 16, "hours_likely": 24, "hours_high": 80}
    first_start_up(skua, make_job(skua, "weld sill", skill=welder, **long), promised=date(2027, 3, 5))
    first_start_up(tern, make_job(tern, "weld seam", hours=8, skill=welder), promised=date(2027, 4, 12))

    found = {one.text: one.from_there for one in read_certainty(tern, load_workshop(TODAY)).contributors}

    assert found["weld sill (Skua)"] == "Rafe Holloway goes on from it to what this car waits for"
    own = {one.from_there for one in read_certainty(skua, load_workshop(TODAY)).contributors}
    assert own == {""}

"""What would become of the dates. Days are counted by hand from Wednesday 3 March 2027, without spread."""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from builds import models
from builds.models import Person, Skill
from builds.network import load_workshop
from builds.network.changes import (
    BatchLeaves,
    DueIn,
    Express,
    ExtraPerson,
    Overtime,
    PromiseMoved,
    PulledOut,
)
from builds.network.whatif import as_it_is, imagine
from builds.services.plans import plan_keep
from builds.services.whatif import changes_keep
from parts.models import FinishingBatch, Operation

TODAY = date(2027, 3, 3)
MORNING = timezone.make_aware(datetime(2027, 3, 3, 7))
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def no_holidays(workshop):
    workshop.country = ""
    workshop.save()


@pytest.fixture
def welder(fitter):
    skill = Skill.objects.create(name="welder")
    fitter.skills.add(skill)
    return skill


@pytest.fixture
def two_cars(tern, skua, welder, make_job, first_start_up):
    """Each car is two days of the only welder; Skua is promised for the 4th and so comes first."""
    first_start_up(skua, make_job(skua, "weld sill", hours=16, skill=welder), promised=date(2027, 3, 4))
    first_start_up(tern, make_job(tern, "weld seam", hours=16, skill=welder), promised=date(2027, 3, 9))


def dates(*changes):
    state = load_workshop(TODAY)
    skills = dict(Skill.objects.values_list("pk", "name"))
    before = as_it_is(state.solution, state.ordered, state.ordered_forecaster)
    after = imagine(state.solution, state.ordered, changes, skills)
    cars = {car.id: car.name for car in state.model.rows.cars.values()}
    return tuple(
        {cars[car]: then.window.even_chance for car, then in answer.cars.items()}
        for answer in (before, after)
    )


def test_nothing_changed_changes_nothing(two_cars):
    before, after = dates()

    assert before == after == {"Skua": date(2027, 3, 4), "Tern": date(2027, 3, 8)}


def test_a_second_welder_works_beside_the_first(two_cars, welder):
    before, after = dates(ExtraPerson(welder.pk, TODAY, 14, Decimal(8), ""))

    assert before == {"Skua": date(2027, 3, 4), "Tern": date(2027, 3, 8)}
    assert after == {"Skua": date(2027, 3, 4), "Tern": date(2027, 3, 4)}


def test_somebody_without_the_skill_changes_nothing(two_cars):
    trimmer = Skill.objects.create(name="trimmer")

    before, after = dates(ExtraPerson(trimmer.pk, TODAY, 14, Decimal(8), ""))

    assert before == after


def test_overtime_that_is_kept_gives_the_dates_that_were_tried(two_cars, fitter):
    _, tried = dates(Overtime(fitter.pk, TODAY, 14, Decimal(4)))
    models.Overtime.objects.create(
        person=fitter, first_day=TODAY, last_day=TODAY + timedelta(days=13), hours=4
    )

    now, _ = dates()

    assert now == tried


def test_somebody_kept_with_long_days_works_them_though_the_workshop_closes_sooner(two_cars, welder):
    long = ExtraPerson(welder.pk, date(2027, 3, 4), 7, Decimal(12), "Tilda")
    _, tried = dates(long)
    changes_keep(lines=[long.line], reason="", by=Person.objects.first(), at=MORNING)

    now, _ = dates()

    assert now == tried


def test_overtime_makes_the_day_longer(two_cars, fitter):
    _, after = dates(Overtime(fitter.pk, TODAY, 14, Decimal(4)))

    # twelve hours a day: Skua until midday of the second, then Tern until the evening of the third
    assert after == {"Skua": date(2027, 3, 4), "Tern": date(2027, 3, 5)}


@pytest.fixture
def batch(tern, plater, process, fitter, make_job, make_part, first_start_up):
    """A hook that is ready, and a bracket that comes back from machining only on the tenth working day."""
    hook = make_part(tern, "Hook", route=[("zinc_plate", plater, 2)])
    bracket = make_part(tern, "Bracket", route=[("machine", plater, 10), ("zinc_plate", plater, 2)])
    found = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    Operation.objects.filter(process__key="zinc_plate").update(batch=found)
    first_start_up(tern, make_job(tern, "fit hook", hours=4, needs=[hook]))
    make_job(tern, "fit bracket", hours=4, needs=[bracket])
    return found


def test_a_batch_split_no_longer_waits_for_its_last_piece(batch):
    before, after = dates(BatchLeaves(batch.pk, TODAY))

    # ready on 16 March, away on the 17th and 18th; or away on the 3rd and 4th
    assert before == {"Tern": date(2027, 3, 19)}
    assert after == {"Tern": date(2027, 3, 5)}


def test_a_part_taken_out_goes_by_itself(batch):
    hook = Operation.objects.get(part__name="Hook")

    assert dates(PulledOut(hook.pk))[1] == {"Tern": date(2027, 3, 5)}


def test_express_shortens_a_line(batch):
    machining = Operation.objects.get(process__key="machine")

    # away on the 3rd, 4th and 5th, plated on the 8th and 9th
    assert dates(Express(machining.pk, 3))[1] == {"Tern": date(2027, 3, 10)}


def test_what_is_out_may_come_in_on_another_day(tern, plater, fitter, make_job, make_part, first_start_up):
    radiator = make_part(tern, "Radiator", route=[("fabricate", plater, 10)])
    Operation.objects.update(sent_on=date(2027, 3, 1), promised_on=date(2027, 3, 30))
    first_start_up(tern, make_job(tern, "fit radiator", hours=4, needs=[radiator]))

    before, after = dates(DueIn(radiator.operations.get().pk, date(2027, 3, 5)))

    assert after["Tern"] < date(2027, 3, 15) < before["Tern"]


def test_a_promise_moved_moves_the_days_to_spare_and_not_the_date(two_cars, tern):
    state = load_workshop(TODAY)
    milestone = tern.milestones.get()

    answer = imagine(state.solution, state.ordered, [PromiseMoved(milestone.pk, date(2027, 3, 12))], {})

    then = answer.cars[tern.pk]
    assert (then.promised_on, then.window.even_chance, then.slip_days) == (
        date(2027, 3, 12),
        date(2027, 3, 8),
        -4,
    )


def test_what_is_not_there_changes_nothing(two_cars):
    before, after = dates(PulledOut(999), BatchLeaves(999, TODAY), PromiseMoved(999, TODAY))

    assert before == after


def test_no_row_of_the_database_is_touched(batch, welder):
    before = list(Operation.objects.values()), list(FinishingBatch.objects.values())

    dates(ExtraPerson(welder.pk, TODAY, 14, Decimal(8), "Tilda"), BatchLeaves(batch.pk, TODAY))

    assert before == (list(Operation.objects.values()), list(FinishingBatch.objects.values()))


def test_an_extra_person_says_what_there_would_be_to_do(two_cars, welder):
    """Two days of work lie there for a second welder; for a glazier none."""
    glazier = Skill.objects.create(name="glazier")
    state = load_workshop(TODAY)
    skills = dict(Skill.objects.values_list("pk", "name"))
    asked = [
        ExtraPerson(welder.pk, TODAY, 7, Decimal(8), "Tilda"),
        ExtraPerson(glazier.pk, date(2027, 3, 20), 2, Decimal(8), ""),
    ]

    answer = imagine(state.solution, state.ordered, asked, skills)

    assert answer.at_work == (
        "Tilda would be on 1 job, 16 of 40 hours.",
        "The extra person would have nothing to do: what they can do waits for something else in those days.",
    )


def test_whom_nobody_here_can_replace_is_not_said_to_have_nothing_to_do(
    tern, other_fitter, make_job, first_start_up
):
    """What only a glazier can do is planned as if somebody were free for it, with an extra glazier too."""
    glazier = Skill.objects.create(name="glazier")
    first_start_up(tern, *(make_job(tern, title, skill=glazier) for title in ("fit screens", "fit lamps")))
    state = load_workshop(TODAY)
    asked = [ExtraPerson(glazier.pk, TODAY, 7, Decimal(8), "Tilda")]

    answer = imagine(state.solution, state.ordered, asked, {glazier.pk: "glazier"})

    assert answer.at_work == (
        "2 jobs that ask for the skill glazier stay planned as if somebody were free for them all the same.",
    )
    assert len(answer.problems) == 1
    assert "there is nobody. It is planned as if somebody were free for it" in answer.problems[0]


def test_where_a_plan_is_followed_a_change_kept_gives_the_plan_that_was_tried(
    two_cars, welder, make_job, skua
):
    plan_keep(at=MORNING)
    for number in range(6):
        make_job(skua, f"weld bracket {number}", hours=5 + number, skill=welder)
    more = ExtraPerson(welder.pk, TODAY, 10, Decimal(8), "Tilda")
    _, tried = dates(more)

    changes_keep(lines=[more.line], reason="", by=Person.objects.first(), at=MORNING)

    now, _ = dates()
    assert now == tried
    assert models.KeptPlan.objects.count() == 2

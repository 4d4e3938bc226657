"""A batch holds its ready pieces until the last one is there, unless it leaves without it."""

from datetime import date

import pytest

from builds.models import Need
from builds.network import load_car, load_workshop
from parts.models import FinishingBatch, Operation


@pytest.fixture
def two_brackets(tern, skua, make_job, make_part, plater, process, first_start_up, line):
    """Tern's bracket is ready; Skua's is out at the maker until Friday 12 March."""
    ready = make_part(tern, "Bracket", route=[("zinc_plate", plater, 5)])
    late = make_part(skua, "Hook", route=[("fabricate", plater, 5), ("zinc_plate", plater, 5)])
    line(late, 1, sent_on=date(2027, 3, 1), promised_on=date(2027, 3, 12))
    first_start_up(tern, make_job(tern, "fit bracket", needs=[ready], hours=4))
    first_start_up(skua, make_job(skua, "fit hook", needs=[late], hours=4))
    return ready.operations.get(), late.operations.get(sequence=2)


def _start_ups(state, *cars):
    facts = state.facts()
    return [facts.cars[car.pk].first_start_up.on for car in cars]


@pytest.mark.django_db
def test_on_their_own_each_goes_when_it_is_ready(two_brackets, tern, skua, state):
    # five days from Wednesday 3: 3, 4, 5, 8, 9, fitted on the 10th; from midday on the 12th: the 19th
    assert _start_ups(state(), tern, skua) == [date(2027, 3, 10), date(2027, 3, 19)]


@pytest.mark.django_db
def test_one_late_piece_holds_the_batch_and_the_other_car(two_brackets, tern, skua, plater, process, state):
    batch = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    for operation in two_brackets:
        operation.batch = batch
        operation.save()

    assert _start_ups(state(), tern, skua) == [date(2027, 3, 19), date(2027, 3, 19)]


@pytest.mark.django_db
def test_the_what_if_says_the_same_without_saving(two_brackets, tern, skua, state):
    ids = [operation.pk for operation in two_brackets]
    loaded = state()

    waiting = loaded.with_batch(ids, None)
    leaving = loaded.with_batch(ids, date(2027, 3, 3))

    assert _start_ups(waiting, tern, skua) == [date(2027, 3, 19), date(2027, 3, 19)]
    assert _start_ups(leaving, tern, skua) == [date(2027, 3, 10), date(2027, 3, 19)]
    assert FinishingBatch.objects.count() == 0


@pytest.mark.django_db
def test_leaving_on_a_later_day_moves_the_ready_piece_to_it(two_brackets, tern, skua, state):
    leaving = state().with_batch([operation.pk for operation in two_brackets], date(2027, 3, 8))

    # away from midday on Monday 8 for five days: the 15th at midday
    assert _start_ups(leaving, tern, skua) == [date(2027, 3, 15), date(2027, 3, 19)]


@pytest.mark.django_db
def test_a_job_that_needs_a_rejected_line_waits_for_the_one_that_makes_it_good(
    tern, make_job, make_part, plater, state, line
):
    arm = make_part(tern, "Arm", route=[("weld", plater, 5), ("zinc_plate", plater, 5)])
    rejected = line(
        arm,
        sent_on=date(2027, 2, 1),
        back_on=date(2027, 3, 2),
        result="rejected",
        reason="porous",
    )
    arm.operations.filter(sequence=2).update(sequence=3)
    rework = Operation.objects.create(
        part=arm,
        sequence=2,
        process=rejected.process,
        supplier=plater,
        reworks=rejected,
        lead_low_days=5,
        lead_likely_days=5,
        lead_high_days=5,
    )
    job = make_job(tern, "trial fit arm")
    Need.objects.create(job=job, part=arm, operation=rejected)

    facts = state().facts()

    assert facts.jobs[job.pk].condition == "held"
    assert facts.operations[rework.pk].holds == ("trial fit arm",)


@pytest.mark.django_db
def test_a_rejected_piece_waits_for_its_rework(
    tern, make_job, make_part, plater, first_start_up, state, line
):
    arm = make_part(tern, "Arm", route=[("zinc_plate", plater, 5)])
    line(
        arm,
        sent_on=date(2027, 2, 1),
        back_on=date(2027, 3, 2),
        result="rejected",
        reason="bare patch",
    )
    job = make_job(tern, "fit arm", needs=[arm], hours=4)
    first_start_up(tern, job)

    facts = state().facts()

    assert facts.jobs[job.pk].held_by[0].text == "Arm rejected at zinc plate: bare patch"
    # nobody has written the rework line yet, so its lead time counts from today
    assert facts.cars[tern.pk].first_start_up.on == date(2027, 3, 10)


@pytest.mark.django_db
def test_a_car_is_read_with_those_that_share_its_batch(two_brackets, tern, skua, plater, process, today):
    batch = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    alone = load_car(tern.pk, today)
    for operation in two_brackets:
        operation.batch = batch
        operation.save()

    bound = load_car(tern.pk, today)

    assert set(alone.facts().cars) == {tern.pk}
    assert set(bound.facts().cars) == {tern.pk, skua.pk}
    whole = load_workshop(today).facts().cars[tern.pk].first_start_up
    assert bound.facts().cars[tern.pk].first_start_up == whole

"""The forecast over the rows of a workshop. Published examples of the core stand in tests/builds/schedule."""

from datetime import date, timedelta

import pytest

from builds.models import Away, Car, JobLink
from builds.network import load_car
from builds.network.chains import path_window
from builds.network.forecasting import Forecaster, at_own_even_chance, milestone_outcome
from builds.schedule.calendar import from_minutes
from builds.schedule.spread import Lognormal, Pert, Triangular
from builds.sheets.differing import why_so_late
from parts.models import Operation, SupplierPromise

TODAY = date(2027, 3, 3)


def _start_up(car):
    state = load_car(car.pk, TODAY)
    return state, state.facts().cars[car.pk].first_start_up


@pytest.mark.django_db
def test_without_spread_the_window_is_the_networks_own_date(tern, make_job, first_start_up):
    first_start_up(tern, make_job(tern, "start", hours=16))

    _, milestone = _start_up(tern)

    assert milestone.window.even_chance == milestone.window.four_in_five == milestone.on


@pytest.mark.django_db
def test_two_equal_strands_are_later_than_either_chain_says(tern, make_job, first_start_up):
    """Merge bias: the greater of two like lengths is longer than one of them, whatever their spread."""
    strands = [
        make_job(tern, f"strand {number}", hours_low=80, hours_likely=160, hours_high=400)
        for number in (1, 2)
    ]
    milestone = first_start_up(tern, *strands)

    state, facts = _start_up(tern)

    alone = path_window(state.solution, f"milestone:{milestone.pk}", facts.on)
    assert facts.window.even_chance > alone.even_chance


@pytest.mark.django_db
def test_what_comes_of_a_meeting_point_is_told_from_what_comes_of_the_lengths(
    tern, skua, make_job, first_start_up
):
    """Elementary: of two like lengths the later is within x with the chance of one, squared; so its even
    chance is where one of them alone has the chance of the root of a half.
    """
    figures = {"hours_low": 80, "hours_likely": 160, "hours_high": 400}
    milestone = first_start_up(tern, *[make_job(tern, f"strand {number}", **figures) for number in (1, 2)])
    alone = Pert(80, 160, 400)
    certain = {
        chance: first_start_up(car, make_job(car, "as long", hours=round(alone.at(chance), 2)))
        for car, chance in ((skua, 0.5), (Car.objects.create(name="Knot"), 0.5**0.5))
    }
    expected = {chance: _start_up(one.car)[1].on for chance, one in certain.items()}

    state, facts = _start_up(tern)

    own_even = at_own_even_chance(state.forecaster, milestone.pk)
    assert own_even == expected[0.5]
    assert facts.window.even_chance == expected[0.5**0.5]
    to_meet = state.solution.slip(own_even, facts.window.even_chance)
    words = why_so_late(state, facts, own_even)
    total = state.solution.slip(facts.on, facts.window.even_chance)
    assert f"to the even chance are {total} working days" in words
    assert f"{total - to_meet} working days of them" in words
    assert f"{to_meet} working days come of meeting points" in words


@pytest.mark.django_db
def test_where_nothing_meets_all_comes_of_the_lengths(tern, make_job, first_start_up):
    milestone = first_start_up(tern, make_job(tern, "start", hours_low=80, hours_likely=160, hours_high=400))
    state, facts = _start_up(tern)

    own_even = at_own_even_chance(state.forecaster, milestone.pk)

    assert own_even == facts.window.even_chance > facts.on
    assert "No working days come of meeting points" in why_so_late(state, facts, own_even)


@pytest.mark.django_db
def test_the_same_question_gets_the_same_answer(tern, make_job, first_start_up):
    job = make_job(tern, "start", hours_low=8, hours_likely=16, hours_high=80)
    milestone = first_start_up(tern, job)

    answers = [milestone_outcome(load_car(tern.pk, TODAY).forecaster, milestone.pk) for _ in range(2)]

    assert answers[0].even_chance == answers[1].even_chance
    assert answers[0].four_in_five == answers[1].four_in_five


@pytest.mark.django_db
def test_a_job_is_drawn_from_its_three_figures(tern, make_job):
    job = make_job(tern, "wire", hours_low=4, hours_likely=8, hours_high=20)

    forecaster = Forecaster(load_car(tern.pk, TODAY).solution)

    assert forecaster.spreads[f"job:{job.pk}"] == Pert(240, 480, 1200)


@pytest.fixture
def record(skua, make_part, plater, manager):
    """Six lots that took 13 working days where 10 were promised."""
    for number in range(6):
        sent = date(2026, 3, 2) + timedelta(days=28 * number)  # a Monday
        part = make_part(skua, f"lot {number}", route=[("zinc_plate", plater, 10)])
        operation = part.operations.get()
        operation.sent_on, operation.back_on = sent, sent + timedelta(days=17)  # Thursday of the third week
        operation.promised_on = sent + timedelta(days=14)
        operation.result = "accepted"
        operation.save()
        SupplierPromise.objects.create(
            operation=operation, promised_on=operation.promised_on, made_on=sent, by=manager
        )


@pytest.mark.django_db
def test_a_suppliers_record_moves_its_forecast_half_way(record, tern, make_part, plater, workshop):
    workshop.country = ""  # no holidays: the days are counted by hand
    workshop.save()
    part = make_part(tern, "bracket", route=[("zinc_plate", plater, 10)])

    forecaster = Forecaster(load_car(tern.pk, TODAY).solution)
    spread = forecaster.spreads[f"op:{part.operations.get().pk}"]
    why = forecaster.expectation(forecaster.model.rows.operations[part.operations.get().pk]).why

    assert isinstance(spread, Lognormal)
    # six jobs at 1.3 against an estimate worth six: the geometric mean of 1 and 1.3 is 1.140
    assert spread.median_min / 1440 == pytest.approx(11.40, abs=0.01)
    assert why == "6 deliveries, on average 1.3 times the promise; half-way between that and the estimate."


@pytest.mark.django_db
def test_what_has_been_out_for_long_is_not_forecast_from_day_nought(
    tern, make_job, make_part, plater, first_start_up
):
    part = make_part(tern, "bracket", route=[("zinc_plate", plater, 10)])
    Operation.objects.update(lead_low_days=5, lead_high_days=15, sent_on=TODAY - timedelta(days=28))
    first_start_up(tern, make_job(tern, "fit", needs=[part], hours=1))

    _, milestone = _start_up(tern)

    # twenty working days out of at most fifteen: outlasted, so soon rather than in another ten days
    assert TODAY < milestone.window.even_chance <= TODAY + timedelta(days=8)
    assert milestone.window.four_in_five >= milestone.window.even_chance


@pytest.mark.django_db
def test_a_ring_has_no_forecast_and_breaks_nothing(tern, make_job, first_start_up):
    one = make_job(tern, "one")
    two = make_job(tern, "two", after=[one])
    JobLink.objects.create(before=two, after=one)
    first_start_up(tern, two)

    _, milestone = _start_up(tern)

    assert milestone.window is None


@pytest.mark.django_db
def test_the_workshop_may_draw_its_jobs_from_a_triangle(tern, make_job, workshop):
    job = make_job(tern, "wire", hours_low=4, hours_likely=8, hours_high=20)
    workshop.job_curve = "triangular"
    workshop.save()

    forecaster = Forecaster(load_car(tern.pk, TODAY).solution)

    assert forecaster.spreads[f"job:{job.pk}"] == Triangular(240, 480, 1200)


@pytest.fixture
def car_away(tern, plater, make_job, first_start_up):
    """Left on Monday 22 February for ten working days, due back on Monday 8 March."""
    Away.objects.create(
        car=tern,
        supplier=plater,
        what_for="paint",
        leaves_on=date(2027, 2, 22),
        due_back_on=date(2027, 3, 8),
    )
    return first_start_up(tern, make_job(tern, "fit wing", hours=4))


@pytest.mark.django_db
def test_a_car_away_comes_back_as_its_supplier_brings_them_back(car_away, tern, skua, plater):
    _, before = _start_up(tern)
    assert before.window is not None  # made now, with no record
    for number in range(12):  # twelve stays of ten days that took twenty
        left = date(2026, 1, 5) + timedelta(days=28 * number)
        Away.objects.create(
            car=skua,
            supplier=plater,
            what_for="paint",
            leaves_on=left,
            due_back_on=left + timedelta(days=14),
            back_on=left + timedelta(days=28),
        )

    _, after = _start_up(tern)

    assert before.on == after.on == date(2027, 3, 8)  # taken at its word: in at midday, four hours of work
    assert date(2027, 3, 8) <= before.window.even_chance < before.window.four_in_five
    # two thirds of the way from ten working days to twenty, less the seven that are over
    assert after.window.even_chance > before.window.even_chance + timedelta(days=5)


@pytest.mark.django_db
def test_a_car_away_is_never_forecast_before_the_day_it_is_due(car_away, tern):
    state, _ = _start_up(tern)

    outcome = milestone_outcome(state.forecaster, car_away.pk)

    assert from_minutes(int(outcome.finishes[0])).date() >= date(2027, 3, 8)


@pytest.mark.django_db
def test_a_car_away_for_a_day_of_the_suppliers_weekend_breaks_nothing(tern, plater, make_job, first_start_up):
    Away.objects.create(car=tern, supplier=plater, what_for="paint", leaves_on=TODAY, due_back_on=TODAY)
    first_start_up(tern, make_job(tern, "fit wing", hours=4))

    _, milestone = _start_up(tern)

    assert milestone.window.even_chance == milestone.on

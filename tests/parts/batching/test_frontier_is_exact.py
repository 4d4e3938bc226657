"""The batch calculation against trying everything, and against a model in OR-Tools."""

from collections.abc import Sequence

import pytest
from hypothesis import HealthCheck, given, settings
from ortools.sat.python import cp_model

from parts.batching.answers import Frontier
from parts.batching.frontier import frontier
from parts.batching.pieces import Finisher, LotLimits, Piece, Tariff, trips
from tests.parts.batching.brute import by_trying_everything, price, whole_days_late
from tests.parts.batching.cases import Case, cases, workshop_lot

PLAIN = Tariff(setup_pence=6000, per_m2_pence=3000, carriage_pence=2000)
MINIMUM = Tariff(minimum_pence=6000, per_m2_pence=9000, carriage_pence=2000)


def points(found: Frontier) -> list[tuple[int, int]]:
    return [(answer.days_lost, answer.cost_pence) for answer in found.answers]


@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(cases(most=6))
def test_it_finds_what_trying_every_set_partition_finds(case: Case) -> None:
    found = frontier(*case)

    assert points(found) == by_trying_everything(*case)
    assert found.is_proven
    assert all(answer.is_proven for answer in found.answers)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(cases(most=8))
def test_it_still_does_with_up_to_eight_pieces(case: Case) -> None:
    found = frontier(*case)

    assert points(found) == by_trying_everything(*case)
    assert found.is_proven


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(
    ("tariff", "limits"),
    [
        (PLAIN, LotLimits()),
        (MINIMUM, LotLimits()),
        (MINIMUM, LotLimits(pieces=3)),
        (PLAIN, LotLimits(area_cm2=4000)),
    ],
    ids=["set-up only", "minimum charge", "minimum and lots of three", "set-up and small lots"],
)
def test_eight_pieces_agree_with_trying_everything(seed: int, tariff: Tariff, limits: LotLimits) -> None:
    pieces = workshop_lot(seed, count=8, cars=3, span=12)
    finisher = Finisher(trips(0, 40, 6, closed=[5, 6]), tariff, limits)
    found = frontier(pieces, finisher)

    assert points(found) == by_trying_everything(pieces, finisher)
    assert found.is_proven


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("tariff", [PLAIN, MINIMUM], ids=["set-up only", "minimum charge"])
def test_a_model_in_or_tools_finds_the_same(seed: int, tariff: Tariff) -> None:
    """CP-SAT, written from the words of the task: it knows no order of readiness and no labels."""
    pieces = workshop_lot(seed, count=12, cars=3, span=12)
    finisher = Finisher(trips(0, 40, 6), tariff)
    found = frontier(pieces, finisher)

    assert found.is_proven
    for answer, dearer in zip(found.answers, [None, *found.answers], strict=False):
        # the cheapest way that loses no more days costs the same …
        assert cheapest(pieces, finisher, answer.days_lost) == answer.cost_pence
        # … and no way loses a day less for less than the answer before
        if dearer is not None:
            assert cheapest(pieces, finisher, answer.days_lost - 1) == dearer.cost_pence


def test_a_model_in_or_tools_agrees_on_the_plain_lot_of_two_hundred() -> None:
    pieces = workshop_lot(3)
    finisher = Finisher(trips(0, 120, 8), PLAIN)
    found = frontier(pieces, finisher)
    middle = found.answers[len(found.answers) // 2]

    assert found.is_proven
    assert cheapest_covering(pieces, finisher, middle.days_lost) == middle.cost_pence
    assert cheapest_covering(pieces, finisher, middle.days_lost - 1) > middle.cost_pence


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("limits", [LotLimits(), LotLimits(pieces=40)], ids=["any lot", "lots of forty"])
def test_no_answer_for_two_hundred_pieces_is_below_its_bound(seed: int, limits: LotLimits) -> None:
    pieces = workshop_lot(seed)
    finisher = Finisher(
        trips(0, 120, 8), Tariff(minimum_pence=6000, per_m2_pence=3000, carriage_pence=2000), limits
    )
    found = frontier(pieces, finisher)

    assert all(0 <= answer.cost_pence - answer.bound_pence <= found.gap_pence for answer in found.answers)
    assert found.gap_pence < 0.15 * found.answers[0].cost_pence  # regression: it was 1 to 8 %
    for answer in found.answers:
        assert sorted(piece for lot in answer.lots for piece in lot.piece_ids) == list(range(1, 201))


def cheapest(pieces: Sequence[Piece], finisher: Finisher, most_days: int) -> int:
    """Lots on days, one lot a day at most (there are no lot limits here), by CP-SAT."""
    model, tariff = cp_model.CpModel(), finisher.tariff
    days = sorted(finisher.back_on)
    leaves = {(p.piece_id, d): model.new_bool_var("") for p in pieces for d in days if d >= p.ready_day}
    used = {d: model.new_bool_var("") for d in days}
    charge = {d: model.new_int_var(0, 10**7, "") for d in days}
    lost = {car: model.new_int_var(0, 1000, "") for car in {p.car for p in pieces}}
    together: dict[str, Piece] = {}
    for p in pieces:
        own = [d for d in days if d >= p.ready_day]
        model.add_exactly_one(leaves[p.piece_id, d] for d in own)
        for d in own:
            model.add_implication(leaves[p.piece_id, d], used[d])
            if p.limit_day is not None and (late := whole_days_late(d, p, finisher)) > 0:
                model.add(lost[p.car] >= late).only_enforce_if(leaves[p.piece_id, d])
        first = together.setdefault(p.colour_set or str(p.piece_id), p)
        for d in days:
            one, other = leaves.get((p.piece_id, d)), leaves.get((first.piece_id, d))
            if first is not p:
                model.add((0 if one is None else one) == (0 if other is None else other))
    for d in days:
        prices = sum(price(p, finisher) * leaves[p.piece_id, d] for p in pieces if d >= p.ready_day)
        model.add(charge[d] >= prices + tariff.setup_pence * used[d])
        model.add(charge[d] >= (tariff.minimum_pence + tariff.setup_pence) * used[d])
    model.add(sum(lost.values()) <= most_days)
    model.minimize(sum(charge.values()) + tariff.carriage_pence * sum(used.values()))
    return _solved(model)


def cheapest_covering(pieces: Sequence[Piece], finisher: Finisher, most_days: int) -> int:
    """For a plain tariff: a trip must fall between each unit's readiness and the day its car can bear."""
    model, tariff = cp_model.CpModel(), finisher.tariff
    days = sorted(finisher.back_on)
    trip = {d: model.new_bool_var("") for d in days}
    lost = {car: model.new_int_var(0, most_days, "") for car in {p.car for p in pieces}}
    late = {
        (car, n): model.new_bool_var("") for car in lost for n in range(1, most_days + 2)
    }  # the car loses n days or more
    for (car, n), is_late in late.items():
        model.add(lost[car] >= n).only_enforce_if(is_late)
    ready: dict[str, int] = {}
    for p in pieces:
        name = p.colour_set or str(p.piece_id)
        ready[name] = max(p.ready_day, ready.get(name, 0))
    for p in pieces:
        own = [d for d in days if d >= ready[p.colour_set or str(p.piece_id)]]
        model.add_at_least_one(trip[d] for d in own)
        for n in range(1, most_days + 2) if p.limit_day is not None else ():
            in_time = [trip[d] for d in own if whole_days_late(d, p, finisher) < n]
            model.add_bool_or([*in_time, late[p.car, n]])
    model.add(sum(lost.values()) <= most_days)
    model.minimize(sum(trip.values()))
    each = tariff.setup_pence + tariff.carriage_pence
    return _solved(model) * each + sum(price(p, finisher) for p in pieces)


def _solved(model: cp_model.CpModel) -> int:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = 60
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return 10**12
    assert status == cp_model.OPTIMAL
    return round(solver.objective_value)

"""Send now or wait: worked lots, the choice among the answers, staying with an old choice, refusals."""

import random
from dataclasses import replace

import pytest

from parts.batching.answers import CarLoss, PlannedLot
from parts.batching.choosing import bend, chosen, priced_again
from parts.batching.errors import (
    BatchingError,
    LotTooSmall,
    NegativeFigure,
    NothingToSend,
    NoTrip,
    NotTheSamePieces,
    SizeUnknown,
    TooLarge,
    TripsCross,
    TwiceListed,
)
from parts.batching.frontier import frontier
from parts.batching.pieces import Finisher, LotLimits, Piece, Tariff, trips
from parts.batching.reasons import reason
from tests.parts.batching.cases import workshop_lot

# One zinc lot: brackets and bolts now, a pulley of another car in four days.
BRACKETS = Piece(1, "brackets", "Tern", 0, limit_day=8, quantity=4, area_cm2=500)
BOLTS = Piece(2, "bolts", "Tern", 0, limit_day=30, quantity=60, area_cm2=20)
PULLEY = Piece(3, "pulley", "Skua", 4, limit_day=12, area_cm2=800)
ZINC = Finisher(trips(0, 30, 6), Tariff(minimum_pence=6000, per_m2_pence=3000, carriage_pence=1500))
LOT = [BRACKETS, BOLTS, PULLEY]


def test_both_ends_and_who_pays() -> None:
    found = frontier(LOT, ZINC)

    assert [(a.days_lost, a.cost_pence, a.trips) for a in found.answers] == [(0, 15000, 2), (2, 7500, 1)]
    together = found.answers[-1]
    assert together.lots == (PlannedLot(4, 10, (1, 2, 3), 6000),)
    assert together.cars == (CarLoss("Skua", 0, 0, ()), CarLoss("Tern", 2, 0, (1,)))
    assert found.together == together
    assert found.apart == found.answers[0]
    assert found.is_proven


def test_days_that_nobody_can_save_are_told_apart() -> None:
    found = frontier([replace(BRACKETS, limit_day=3), BOLTS, PULLEY], ZINC)

    assert found.answers[0].cars[1] == CarLoss("Tern", 3, 3, (1,))
    assert found.answers[1].cars[1] == CarLoss("Tern", 7, 3, (1,))


@pytest.mark.parametrize(("limit_minute", "lost"), [(0, 1), (719, 1), (720, 0), (900, 0)])
def test_what_comes_at_midday_is_in_time_for_the_afternoon(limit_minute: int, lost: int) -> None:
    """Ready at midday of day 0, six days away: back at midday of day 6."""
    at_midday = replace(ZINC, back_minute={0: 720})
    wanted = replace(BRACKETS, limit_day=6, limit_minute=limit_minute)

    assert frontier([wanted], at_midday).together.days_lost == lost


def test_days_lost_are_rounded_up_once_and_not_for_each_end() -> None:
    """Wanted by three in the afternoon of day 6, back at midday of day 10: 3 days and a part."""
    later = replace(PULLEY, limit_day=30)
    at_midday = replace(ZINC, back_minute={4: 720})
    together = frontier([replace(BRACKETS, limit_day=6, limit_minute=900), later], at_midday).together

    assert together.cars == (CarLoss("Skua", 0, 0, ()), CarLoss("Tern", 4, 0, (1,)))


def test_a_minimum_charge_may_make_the_first_piece_wait_and_not_the_second() -> None:
    # by hand: £50 + £100 now and £50 later is 150 + 100; £100 now and £50 + £50 later is 100 + 100
    pieces = [
        Piece(1, "step", "Tern", 0, quantity=1),
        Piece(2, "bar", "Skua", 1, limit_day=6, quantity=2),
        Piece(3, "arm", "Tern", 5, quantity=1),
    ]
    found = frontier(pieces, Finisher(trips(0, 20, 5), Tariff(minimum_pence=10000, per_piece_pence=5000)))

    assert [(a.days_lost, a.cost_pence) for a in found.answers] == [(0, 20000)]
    assert [lot.piece_ids for lot in found.answers[0].lots] == [(2,), (1, 3)]


def test_pieces_that_are_seen_together_share_a_lot() -> None:
    pair = [replace(BRACKETS, colour_set="bay"), BOLTS, replace(PULLEY, colour_set="bay")]
    found = frontier(pair, ZINC)

    assert all(
        {1, 3} <= set(lot.piece_ids)
        for answer in found.answers
        for lot in answer.lots
        if len(lot.piece_ids) > 1
    )
    assert [answer.days_lost for answer in found.answers] == [2]


def test_a_lot_over_the_limit_is_parted_and_shares_the_trip() -> None:
    pieces = [Piece(n, f"clip {n}", "Tern", 0) for n in range(1, 6)]
    found = frontier(
        pieces, Finisher(trips(0, 9, 3), Tariff(setup_pence=1000, carriage_pence=500), LotLimits(pieces=2))
    )

    (answer,) = found.answers
    assert (len(answer.lots), answer.trips, answer.cost_pence) == (3, 1, 3500)


def test_nothing_leaves_while_the_finisher_is_closed() -> None:
    found = frontier(LOT, replace(ZINC, back_on=trips(0, 30, 6, closed=range(3, 6))))

    assert {lot.leaves_day for answer in found.answers for lot in answer.lots} == {0, 6}


def test_the_order_of_input_does_not_matter() -> None:
    pieces = workshop_lot(5, count=40, cars=4, span=20)
    finisher = Finisher(trips(0, 60, 6), Tariff(minimum_pence=6000, per_m2_pence=3000))
    shuffled = pieces[:]
    random.Random(2).shuffle(shuffled)

    assert frontier(shuffled, finisher) == frontier(pieces, finisher)


def test_a_day_that_is_worth_little_is_given_up() -> None:
    found = frontier(LOT, ZINC)

    assert chosen(found, day_pence=3700).trips == 1  # 2 days at £37 are less than the £75 saved
    assert chosen(found, day_pence=3800).trips == 2
    assert chosen(found, day_pence=3750).trips == 2  # of equal sums the one that loses fewer days


def test_the_knee_is_where_a_further_day_stops_paying() -> None:
    # by hand: (0 d, £300), (1 d, £120), (9 d, £60): the middle one lies far below the line between the ends
    pieces = [Piece(1, "a", "Tern", 0, 5), Piece(2, "b", "Tern", 1, 6), Piece(3, "c", "Tern", 9, 20)]
    found = frontier(pieces, Finisher(trips(0, 20, 5), Tariff(minimum_pence=6000)))

    assert [(a.days_lost, a.cost_pence) for a in found.answers] == [(0, 18000), (1, 12000), (9, 6000)]
    assert bend(found) == found.answers[1]


def test_two_answers_have_no_knee() -> None:
    assert bend(frontier(LOT, ZINC)) is None


def test_no_day_is_given_up_unless_somebody_says_what_it_is_worth() -> None:
    assert chosen(frontier(LOT, ZINC)).days_lost == 0


def test_a_day_cannot_be_worth_less_than_nothing() -> None:
    with pytest.raises(NegativeFigure, match="The worth of a day must be at least 0, not -1"):
        chosen(frontier(LOT, ZINC), day_pence=-1)


def test_staying_with_the_old_lot_after_a_member_slips() -> None:
    old = chosen(frontier(LOT, ZINC), day_pence=1000)
    slipped = [BRACKETS, BOLTS, replace(PULLEY, ready_day=14)]
    kept = priced_again(slipped, ZINC, [lot.piece_ids for lot in old.lots])
    best = chosen(frontier(slipped, ZINC), day_pence=1000)

    assert (old.days_lost, old.cost_pence) == (2, 7500)
    assert (kept.days_lost, kept.cost_pence) == (12 + 8, 7500)
    # what can still be had: the pulley goes alone, and only its own car pays
    assert (best.days_lost, best.cost_pence) == (8, 15000)
    assert kept.cost_pence + 1000 * kept.days_lost - best.cost_pence - 1000 * best.days_lost == 4500


def test_an_old_choice_with_other_pieces_is_refused() -> None:
    with pytest.raises(NotTheSamePieces) as refusal:
        priced_again(LOT, ZINC, [(1, 2, 9)])

    assert (refusal.value.missing, refusal.value.foreign) == ((3,), (9,))


def test_the_reason_names_what_is_awaited_and_who_pays() -> None:
    found = frontier(LOT, ZINC)

    assert reason(found, found.answers[1], LOT, str, 1000) == (
        "Waiting for the pulley of Skua costs Tern 2 days, but 1 lot instead of 2 saves £75, "
        "more than the days are worth at £10 each."
    )
    assert reason(found, found.answers[0], LOT, str) == (
        "Each goes as soon as it is ready: waiting would save £75 and cost 2 days."
    )


def test_without_prices_the_reason_counts_lots() -> None:
    lots_only = replace(ZINC, tariff=Tariff(setup_pence=1))
    found = frontier(LOT, lots_only)

    assert reason(found, found.answers[1], LOT, str, is_priced=False) == (
        "Waiting for the pulley of Skua costs Tern 2 days, but it takes 1 lot instead of 2."
    )
    assert reason(found, found.answers[0], LOT, str, is_priced=False) == (
        "Each goes as soon as it is ready: waiting would save 1 lot and cost 2 days."
    )


def test_days_of_a_later_milestone_are_counted_apart() -> None:
    trim = replace(BOLTS, limit_day=7, milestone="handover")
    found = frontier([BRACKETS, trim, PULLEY], ZINC)

    assert found.together.cars == (
        CarLoss("Skua", 0, 0, ()),
        CarLoss("Tern", 2, 0, (1,)),
        CarLoss("Tern (handover)", 3, 0, (2,)),
    )


def test_the_reason_says_what_else_holds_the_car() -> None:
    pieces = [replace(BRACKETS, limit_day=15, held_by="the radiator"), BOLTS, PULLEY]
    found = frontier(pieces, ZINC)

    assert reason(found, chosen(found), pieces, lambda day: f"day {day}") == (
        "Waiting for the pulley of Skua costs no day: the radiator holds Tern until day 15; "
        "1 lot instead of 2 saves £75."
    )


@pytest.mark.parametrize(
    ("pieces", "finisher", "refusal", "words"),
    [
        ([], ZINC, NothingToSend, "no piece here"),
        ([BRACKETS, BRACKETS], ZINC, TwiceListed, "operation 1"),
        (
            [replace(BRACKETS, quantity=0)],
            ZINC,
            NegativeFigure,
            "brackets of Tern: the quantity must",
        ),
        (
            [replace(BRACKETS, area_cm2=-5)],
            ZINC,
            NegativeFigure,
            "brackets of Tern: the area must",
        ),
        (
            [replace(BRACKETS, area_cm2=None)],
            ZINC,
            SizeUnknown,
            "its area is not known, and the price",
        ),
        (LOT, replace(ZINC, tariff=Tariff(setup_pence=-1)), NegativeFigure, "setup pence must be at least 0"),
        (
            [replace(BRACKETS, size_mm=(900, 10, 10))],
            replace(ZINC, limits=LotLimits(largest_mm=(800, None, None))),
            TooLarge,
            "brackets of Tern is 900 × 10 × 10 mm",
        ),
        (LOT, replace(ZINC, limits=LotLimits(mass_g=50)), SizeUnknown, "its mass is not known"),
        (
            LOT,
            replace(ZINC, limits=LotLimits(pieces=50)),
            LotTooSmall,
            "bolts of Tern: count 60 .* Split",
        ),
        (
            [replace(BRACKETS, colour_set="bay"), replace(PULLEY, colour_set="bay")],
            replace(ZINC, limits=LotLimits(pieces=4)),
            LotTooSmall,
            "Part the colour-match set",
        ),
        ([replace(PULLEY, ready_day=31)], ZINC, NoTrip, "No day is known on which pulley could leave"),
        (LOT, replace(ZINC, back_on={0: 9, 4: 8, 9: 12}), TripsCross, "working day 0"),
        (LOT, replace(ZINC, back_on={0: 5, 4: 3}), TripsCross, "working day 0|working day 4"),
    ],
    ids=lambda value: value.__name__ if isinstance(value, type) else "",
)
def test_what_cannot_be_is_refused(
    pieces: list[Piece], finisher: Finisher, refusal: type[BatchingError], words: str
) -> None:
    with pytest.raises(refusal, match=words):
        frontier(pieces, finisher)


def test_goods_on_the_road_count_both_ways() -> None:
    # by hand: out on day 1, there on 3, three days' work ends on 7 (5 is closed), back on 9
    assert trips(1, 1, turnaround_days=3, closed=[5], carriage_days=2) == {1: 9}


def test_a_turnaround_below_nothing_is_refused() -> None:
    with pytest.raises(NegativeFigure, match="turnaround"):
        trips(0, 1, -1)

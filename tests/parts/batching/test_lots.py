"""What may share a finishing batch."""

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.batching.errors import TwiceListed
from parts.batching.lots import Candidate, Lot, Verdict, lots, ready_by, tally

MONDAY = date(2027, 3, 1)


def candidate(number: int, part: str = "clip", **fields: Any) -> Candidate:
    fields.setdefault("process", "Zinc plate")
    return Candidate(operation_id=number, part=part, car="Tern", car_id=1, **fields)


def numbers(lot: Lot) -> list[int]:
    return [member.operation_id for member in lot.members]


def test_one_finish_makes_one_lot() -> None:
    (lot,) = lots([candidate(1), candidate(2)])

    assert numbers(lot) == [1, 2]


@pytest.mark.parametrize("field", ["process", "colour", "coating_class"])
def test_another_process_colour_or_class_makes_another_lot(field: str) -> None:
    found = lots([candidate(1), candidate(2, **{field: "another"})])

    assert sorted(map(numbers, found)) == [[1], [2]]


def test_capitals_and_spaces_make_no_other_finish() -> None:
    (lot,) = lots(
        [
            candidate(1, colour="Clear passivate", coating_class="Fe/Zn 8"),
            candidate(2, colour=" clear  Passivate ", coating_class="FE/ZN 8"),
            candidate(3, colour="Clear passivate", coating_class="Fe/Zn 8"),
        ]
    )

    assert len(lot.members) == 3
    assert (lot.colour, lot.coating_class) == ("Clear passivate", "Fe/Zn 8"), "the commonest spelling"


def test_a_material_that_does_not_take_the_finish_is_set_aside_with_its_reason() -> None:
    (lot,) = lots([candidate(1), candidate(2, verdict=Verdict.NO, reason="dissolves")])

    assert numbers(lot) == [1]
    assert [(c.operation_id, c.reason) for c in lot.set_aside] == [(2, "dissolves")]


def test_a_material_that_needs_care_or_is_not_known_stays_in() -> None:
    (lot,) = lots([candidate(1, verdict=Verdict.CARE), candidate(2, verdict=Verdict.UNKNOWN)])

    assert sorted(numbers(lot)) == [1, 2]


def test_what_holds_first_start_up_comes_first() -> None:
    found = lots(
        [
            candidate(1, colour="black", back_limit=MONDAY),
            candidate(2, colour="clear", back_limit=MONDAY + timedelta(9)),
            candidate(3, colour="clear", sets_date=True, back_limit=MONDAY + timedelta(10)),
            candidate(4, colour="blue"),
        ]
    )

    assert [numbers(lot) for lot in found] == [[3, 2], [1], [4]]
    assert [lot.cars_held for lot in found] == [("Tern",), (), ()]


def test_a_lot_is_ready_when_its_last_member_is() -> None:
    (lot,) = lots([candidate(1, ready_on=MONDAY), candidate(2, ready_on=MONDAY + timedelta(3))])

    assert lot.all_ready_on == MONDAY + timedelta(3)


def test_nobody_knows_when_a_lot_is_ready_if_one_member_has_no_date() -> None:
    (lot,) = lots([candidate(1, ready_on=MONDAY), candidate(2)])

    assert lot.all_ready_on is None


def test_ready_by_a_day_counts_that_day_and_never_the_undated() -> None:
    (lot,) = lots(
        [
            candidate(1, is_ready=True),
            candidate(2, ready_on=MONDAY),
            candidate(3, ready_on=MONDAY + timedelta(1)),
            candidate(4),
        ]
    )

    assert sorted(c.operation_id for c in ready_by(lot, MONDAY)) == [1, 2]


def test_a_tally_adds_pieces_and_says_what_was_not_weighed() -> None:
    # By hand: 4 × 0.25 + 2 × 1.5 = 4 kg, and 3 pieces of which nobody gave the mass.
    found = tally(
        [
            candidate(1, quantity=4, mass_kg=0.25),
            candidate(2, quantity=2, mass_kg=1.5),
            candidate(3, quantity=3),
        ]
    )

    assert (found.pieces, found.mass_kg, found.pieces_unweighed) == (9, 4.0, 3)


def test_no_candidates_make_no_lots() -> None:
    assert lots([]) == ()


def test_an_operation_listed_twice_is_refused_by_its_number() -> None:
    with pytest.raises(TwiceListed) as refusal:
        lots([candidate(7), candidate(8), candidate(7)])

    assert refusal.value.operation_ids == (7,)


spelling = st.sampled_from(["clear", "Clear", " clear", "black", "", "  "])
days = st.one_of(st.none(), st.dates(date(2027, 1, 1), date(2027, 12, 31)))


@st.composite
def some_candidates(draw: st.DrawFn) -> list[Candidate]:
    count = draw(st.integers(0, 12))
    return [
        candidate(
            number,
            draw(st.sampled_from(["clip", "clamp"])),
            process=draw(st.sampled_from(["Zinc plate", "zinc  plate", "Anodise"])),
            colour=draw(spelling),
            coating_class=draw(spelling),
            verdict=draw(st.sampled_from(Verdict)),
            ready_on=draw(days),
            back_limit=draw(days),
            sets_date=draw(st.booleans()),
        )
        for number in range(count)
    ]


@given(some_candidates())
def test_every_candidate_is_in_exactly_one_lot_or_set_aside(candidates: list[Candidate]) -> None:
    placed = [c for lot in lots(candidates) for c in (*lot.members, *lot.set_aside)]

    assert sorted(placed, key=lambda c: c.operation_id) == candidates


@given(some_candidates(), st.randoms(use_true_random=False))
def test_the_order_of_input_does_not_matter(candidates: list[Candidate], chance: Any) -> None:
    shuffled = candidates.copy()
    chance.shuffle(shuffled)

    assert lots(shuffled) == lots(candidates)


@given(some_candidates())
def test_only_an_unsuited_material_is_set_aside(candidates: list[Candidate]) -> None:
    for lot in lots(candidates):
        assert all(c.verdict is Verdict.NO for c in lot.set_aside)
        assert all(c.verdict is not Verdict.NO for c in lot.members)


@given(some_candidates())
def test_two_lots_never_share_a_finish(candidates: list[Candidate]) -> None:
    found = lots(candidates)
    finishes = [{c.finish for c in (*lot.members, *lot.set_aside)} for lot in found]

    assert all(len(finish) == 1 for finish in finishes)
    assert len(set().union(*finishes)) == len(found)


@given(some_candidates(), st.dates(date(2027, 1, 1), date(2027, 12, 30)))
def test_waiting_longer_never_leaves_more_behind(candidates: list[Candidate], day: date) -> None:
    for lot in lots(candidates):
        assert set(ready_by(lot, day)) <= set(ready_by(lot, day + timedelta(1)))

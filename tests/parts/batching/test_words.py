"""The one sentence about a lot."""

from datetime import date
from typing import Any

from parts.batching.lots import Candidate, Lot
from parts.batching.words import sentence, short_day

TODAY = date(2027, 11, 29)


def lot(*members: Candidate) -> Lot:
    return Lot("Zinc plate", "", "", members)


def piece(part: str = "clip", **fields: Any) -> Candidate:
    return Candidate(operation_id=1, part=part, car="Skua", car_id=2, process="Zinc plate", **fields)


def test_a_late_piece_is_named_with_its_car_and_its_day() -> None:
    late = piece("headlamp brackets", ready_on=date(2027, 12, 9), days_late=3)

    assert (
        sentence(lot(*[piece(is_ready=True)] * 10, late), TODAY)
        == "10 ready, 1 late piece: headlamp brackets of Skua, 3 days late, expected Thu 9 Dec"
    )


def test_pieces_to_come_in_good_time_are_not_called_late() -> None:
    soon, later = piece("clip", ready_on=date(2027, 12, 2)), piece("bracket", ready_on=date(2028, 1, 11))

    assert (
        sentence(lot(piece(is_ready=True), soon, later), TODAY)
        == "1 ready, 2 to come: the last is bracket of Skua, expected Tue 11 Jan 2028"
    )


def test_late_pieces_stand_before_the_others_to_come() -> None:
    members = (piece("a", days_late=1, ready_on=TODAY), piece("b", ready_on=date(2027, 12, 9)))

    assert (
        sentence(lot(*members), TODAY)
        == "None ready yet, 1 late piece: a of Skua, 1 day late, expected Mon 29 Nov, 1 more to come"
    )


def test_a_piece_that_nobody_can_date_counts_as_the_last() -> None:
    members = (piece("a"), piece("b", ready_on=date(2027, 12, 9)))

    said = sentence(lot(*members), TODAY)

    assert said == "None ready yet, 2 to come: the last is a of Skua, nobody knows when"


def test_all_ready() -> None:
    assert sentence(lot(*[piece(is_ready=True)] * 3), TODAY) == "All 3 ready"
    assert sentence(lot(piece(is_ready=True)), TODAY) == "Ready"


def test_a_lot_of_unsuited_material_only_says_so() -> None:
    assert sentence(lot(), TODAY) == "Nothing here can go in: the material does not take the finish"


def test_the_year_is_written_when_it_is_not_this_one() -> None:
    assert short_day(date(2027, 3, 12), date(2027, 1, 1)) == "Fri 12 Mar"
    assert short_day(date(2028, 3, 10), date(2027, 1, 1)) == "Fri 10 Mar 2028"

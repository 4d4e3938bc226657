"""Pieces that did not come back: the others go on, the lost are made again, or fewer are enough."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from builds.models import Need
from builds.network import load_workshop
from parts.models import Operation, Part
from parts.services.operations import (
    operation_accept,
    operation_count_in,
    operation_send,
    operation_take_back,
)
from parts.services.pieces import Count, count_of
from parts.services.promises import supplier_promise
from parts.services.short_pieces import (
    pieces_do_without,
    pieces_go_on_without,
    pieces_make_again,
    pieces_together_again,
)

GONE_ON = [("fabricate", 10, "accepted"), ("zinc_plate", 8, "accepted"), ("engrave", 8, "to do")]


@pytest.fixture
def clips(tern: Any, make_part: Any, plater: Any, welder: Any, fitter: Any, day: Any) -> Any:
    """Ten clips, bent and accepted, out at the plater with eight back; engraving comes after."""
    part = make_part(
        tern,
        "clip",
        quantity=10,
        drawing_number="T-7",
        route=[("fabricate", welder, 4), ("zinc_plate", plater, 5), ("engrave", None, 1)],
    )
    first, plating, _ = part.operations.all()
    operation_send(operation=first, on=day(-20), by=fitter)
    operation_accept(operation=first, on=day(-15), by=fitter)
    operation_send(operation=plating, on=day(-9), by=fitter, promised_on=day(-4))
    supplier_promise(operation=plating, promised_on=day(-2), on=day(-4), by=fitter)
    operation_count_in(operation=plating, on=day(-1), by=fitter, accepted=8)
    return part


@pytest.fixture
def plating(clips: Any) -> Any:
    return clips.operations.get(sequence=2)


def card(part: Any) -> list[tuple[str, int, str]]:
    part = Part.objects.get(pk=part.pk)
    return [(line.process.key, line.pieces, line.state) for line in part.operations.all()]


def lose_two(plating: Any, fitter: Any, day: Any) -> None:
    operation_count_in(operation=plating, on=day(0), by=fitter, lost=2, reason="fell in the bath")


def test_the_others_go_on_and_the_missing_are_out_as_before(
    clips: Any, plating: Any, manager: Any, fitter: Any, day: Any
) -> None:
    split = pieces_go_on_without(operation=plating, by=manager)
    assert (split.name, split.quantity, split.drawing_number) == ("clip, 2 to follow", 2, "T-7")
    assert card(clips) == [
        ("fabricate", 10, "accepted"),
        ("zinc_plate", 8, "accepted"),
        ("engrave", 8, "to do"),
    ]
    assert card(split) == [("zinc_plate", 2, "out"), ("engrave", 2, "to do")]
    still = split.operations.first()
    assert (still.sent_on, still.sent_by, still.promised_on) == (day(-9), fitter, day(-2))
    assert [promise.promised_on for promise in still.promises.all()] == [day(-4), day(-2)]
    assert load_workshop(day(0)).facts().operations[still.pk].days_late == 4
    engrave = clips.operations.get(process__key="engrave")
    assert operation_send(operation=engrave, on=day(0), by=fitter).state == "out"
    operation_accept(operation=still, on=day(0), by=fitter)
    assert card(split)[0] == ("zinc_plate", 2, "accepted")


def test_jobs_that_need_all_of_them_wait_for_both_unless_told_otherwise(
    clips: Any, plating: Any, tern: Any, make_job: Any, manager: Any
) -> None:
    needs = {
        name: Need.objects.create(job=make_job(tern, name), part=clips, operation=line)
        for name, line in (
            ("trial fit", clips.operations.get(sequence=1)),
            ("clip pipes", plating),
            ("clip looms", None),
            ("clip hoses", None),
        )
    }
    split = pieces_go_on_without(
        operation=plating, by=manager, needed_by=[needs[name].pk for name in needs if name != "clip hoses"]
    )
    found = {(need.job.title, need.operation) for need in split.job_needs.select_related("job")}
    assert found == {("clip pipes", split.operations.first()), ("clip looms", None)}
    assert clips.job_needs.count() == 4


def test_wrong_pieces_stay_with_the_part_that_goes_on(
    clips: Any, plating: Any, manager: Any, fitter: Any, day: Any
) -> None:
    operation_count_in(operation=plating, on=day(0), by=fitter, rejected=1, reason="dull")
    split = pieces_go_on_without(operation=plating, by=manager)
    assert card(clips) == [
        ("fabricate", 10, "accepted"),
        ("zinc_plate", 9, "rejected"),
        ("zinc_plate", 1, "to do"),
        ("engrave", 9, "to do"),
    ]
    assert card(split) == [("zinc_plate", 1, "out"), ("engrave", 1, "to do")]


def test_lost_pieces_are_made_again_as_a_part_of_their_own(
    clips: Any, plating: Any, tern: Any, make_job: Any, manager: Any, fitter: Any, day: Any
) -> None:
    fit = make_job(tern, "clip pipes")
    Need.objects.create(job=fit, part=clips, operation=plating)
    lose_two(plating, fitter, day)
    again = pieces_make_again(operation=plating, by=manager)
    assert again.name == "clip, 2 made again"
    assert card(clips) == [
        ("fabricate", 10, "accepted"),
        ("zinc_plate", 8, "accepted"),
        ("engrave", 8, "to do"),
    ]
    assert card(again) == [
        ("zinc_plate", 2, "rejected"),
        ("fabricate", 2, "to do"),
        ("zinc_plate", 2, "to do"),
        ("engrave", 2, "to do"),
    ]
    lost, bend, plate, _ = again.operations.all()
    assert (lost.reason, lost.goods_in.get().lost) == ("lost: fell in the bath", 2)
    assert (plate.reworks, again.job_needs.get().operation) == (lost, plate)
    assert operation_send(operation=bend, on=day(0), by=fitter).state == "out"
    held = [reason.text for reason in load_workshop(day(0)).facts().jobs[fit.pk].held_by]
    assert len(held) == 1
    assert "clip, 2 made again to go to zinc plate" in held[0]


def test_when_all_are_lost_the_card_begins_again_on_the_same_part(
    bracket: Any, lines: Any, tern: Any, make_job: Any, manager: Any, fitter: Any, day: Any
) -> None:
    fit = make_job(tern, "trial fit")
    Need.objects.create(job=fit, part=bracket, operation=lines[1])
    operation_send(operation=lines[0], on=day(-9), by=fitter)
    operation_accept(operation=lines[0], on=day(-5), by=fitter)
    operation_send(operation=lines[1], on=day(-4), by=fitter)
    operation_count_in(operation=lines[1], on=day(0), by=fitter, lost=1, reason="thrown away")
    assert pieces_make_again(operation=lines[1], by=manager) == bracket
    assert card(bracket) == [
        ("fabricate", 1, "accepted"),
        ("machine", 1, "rejected"),
        ("fabricate", 1, "to do"),
        ("machine", 1, "to do"),
        ("zinc_plate", 1, "to do"),
    ]
    assert fit.part_needs.get().operation == bracket.operations.get(sequence=4)
    plating = bracket.operations.get(sequence=5)
    with pytest.raises(ValidationError, match="line 3, fabricate, is not accepted yet"):
        operation_send(operation=plating, on=day(0), by=fitter)
    for number in (3, 4):
        operation_send(operation=bracket.operations.get(sequence=number), on=day(0), by=fitter)
        operation_accept(operation=bracket.operations.get(sequence=number), on=day(0), by=fitter)
    assert operation_send(operation=plating, on=day(0), by=fitter).state == "out"


def test_fewer_may_be_enough_and_the_part_says_so(
    clips: Any, plating: Any, manager: Any, fitter: Any, day: Any
) -> None:
    operation_count_in(operation=plating, on=day(0), by=fitter, lost=1, reason="fell in the bath")
    pieces_do_without(operation=plating, by=manager)
    assert card(clips) == [
        ("fabricate", 10, "accepted"),
        ("zinc_plate", 8, "accepted"),
        ("engrave", 8, "to do"),
    ]
    assert Part.objects.get(pk=clips.pk).note == (
        "2 of 10 missing after zinc plate (fell in the bath); Maud Ellery says that 8 are enough."
    )


def test_two_splits_get_two_names(clips: Any, plating: Any, manager: Any, fitter: Any, day: Any) -> None:
    Part.objects.create(car=clips.car, name="Clip, 2 to follow")
    assert pieces_go_on_without(operation=plating, by=manager).name == "clip, 2 to follow (2)"


@pytest.mark.parametrize("act", [pieces_go_on_without, pieces_make_again, pieces_do_without])
def test_a_line_of_which_nothing_is_missing_is_refused(
    clips: Any, plating: Any, manager: Any, fitter: Any, day: Any, act: Any
) -> None:
    with pytest.raises(ValidationError, match="has not gone out"):
        act(operation=clips.operations.get(sequence=3), by=manager)
    operation_accept(operation=plating, on=day(0), by=fitter)
    with pytest.raises(ValidationError, match=r"was accepted on .* already: nothing is missing"):
        act(operation=plating, by=manager)
    assert Part.objects.count() == 1


def test_each_way_out_is_refused_where_it_does_not_fit(
    clips: Any, plating: Any, manager: Any, fitter: Any, day: Any
) -> None:
    with pytest.raises(ValidationError, match=r"No piece of .* is recorded as lost"):
        pieces_make_again(operation=plating, by=manager)
    lose_two(plating, fitter, day)
    with pytest.raises(ValidationError, match="nothing is out any more"):
        pieces_go_on_without(operation=plating, by=manager)
    assert Part.objects.count() == 1
    assert count_of(Operation.objects.get(pk=plating.pk)) == Count(10, accepted=8, lost=2)


@pytest.mark.parametrize("act", [pieces_go_on_without, pieces_do_without])
def test_without_any_piece_nothing_goes_on(lines: Any, fitter: Any, manager: Any, day: Any, act: Any) -> None:
    operation_send(operation=lines[0], on=day(-1), by=fitter)
    with pytest.raises(ValidationError, match="nothing is back"):
        act(operation=lines[0], by=manager)
    assert Part.objects.count() == 1


# Together again


def test_a_parting_is_undone(clips: Any, plating: Any, tern: Any, make_job: Any, manager: Any) -> None:
    make_job(tern, "clip pipes", needs=[clips])
    before = card(clips)
    split = pieces_go_on_without(operation=plating, by=manager)
    assert pieces_together_again(part=split, by=manager) == clips
    assert card(clips)[1:] == before[1:]
    assert count_of(Operation.objects.get(pk=plating.pk)) == Count(10, accepted=8)
    assert not Part.objects.filter(pk=split.pk).exists()
    assert Need.objects.count() == 1


def test_lost_pieces_put_back_are_lost_again(
    clips: Any, plating: Any, manager: Any, fitter: Any, day: Any
) -> None:
    lose_two(plating, fitter, day)
    again = pieces_make_again(operation=plating, by=manager)
    pieces_together_again(part=again, by=manager)
    assert count_of(Operation.objects.get(pk=plating.pk)) == Count(10, accepted=8, lost=2)
    assert Operation.objects.get(pk=plating.pk).state == "out"


def test_what_happened_since_keeps_them_two_parts(
    clips: Any, plating: Any, manager: Any, fitter: Any, day: Any
) -> None:
    split = pieces_go_on_without(operation=plating, by=manager)
    engrave = clips.operations.get(process__key="engrave")
    operation_send(operation=engrave, on=day(0), by=fitter)
    with pytest.raises(ValidationError, match=r"went out on .* without these pieces"):
        pieces_together_again(part=split, by=manager)
    operation_take_back(operation=engrave, by=manager)
    operation_accept(operation=split.operations.first(), on=day(0), by=fitter)
    with pytest.raises(ValidationError, match="Something has happened to “clip, 2 to follow”"):
        pieces_together_again(part=split, by=manager)
    with pytest.raises(ValidationError, match="was not parted from another part"):
        pieces_together_again(part=clips, by=manager)
    assert Part.objects.count() == 2

"""What is written on a part and its route card."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from builds.models import Need
from parts.models import FinishingBatch, Operation, Part
from parts.services.operations import operation_reject, operation_send
from parts.services.parts import LineWording, operation_delete, operation_save, part_save


@pytest.fixture
def wording(process: Any, plater: Any) -> Any:
    def make(**fields: Any) -> LineWording:
        fields = {
            "process": process("zinc_plate"),
            "supplier": plater,
            "lead_low_days": 3,
            "lead_likely_days": 5,
            "lead_high_days": 9,
            **fields,
        }
        return LineWording(**fields)

    return make


def card(part: Any) -> list[str]:
    return [line.process.key for line in part.operations.order_by("sequence")]


def test_a_part_is_saved_and_changed(tern: Any) -> None:
    part = part_save(part=Part(car=tern, name="  coolant   tank "))
    assert (part.name, part.version) == ("coolant tank", 1)
    part.quantity = 4
    part_save(part=part, version=1)
    assert Part.objects.get().quantity == 4
    assert Part.objects.get().version == 2


def test_two_people_change_one_part_and_the_second_is_told(bracket: Any) -> None:
    mine, theirs = Part.objects.get(pk=bracket.pk), Part.objects.get(pk=bracket.pk)
    theirs.note = "theirs"
    part_save(part=theirs, version=1)
    mine.note = "mine"
    with pytest.raises(ValidationError, match="changed by somebody else"):
        part_save(part=mine, version=1)
    assert Part.objects.get(pk=bracket.pk).note == "theirs"


@pytest.mark.parametrize(
    "fields",
    [
        {"quantity": 0},
        {"quantity": 10**9},
        {"mass_kg": Decimal("-1")},
        {"mass_kg": Decimal("99999999")},
        {"length_mm": 0},
        {"width_mm": 10**9},
        {"name": " "},
        {"name": "x" * 121},
    ],
)
def test_an_impossible_part_is_refused(tern: Any, fields: Any) -> None:
    with pytest.raises(ValidationError):
        part_save(part=Part(**{"car": tern, "name": "tank", **fields}))
    assert not Part.objects.exists()


def test_a_name_is_given_once_per_car(tern: Any, skua: Any, bracket: Any) -> None:
    with pytest.raises(ValidationError, match="part of that name already"):
        part_save(part=Part(car=tern, name="Radiator BRACKET"))
    part_save(part=Part(car=skua, name="Radiator bracket"))
    assert Part.objects.count() == 2


def test_a_part_is_made_by_a_job_of_its_own_car(tern: Any, skua: Any, make_job: Any) -> None:
    with pytest.raises(ValidationError, match="job of another car"):
        part_save(part=Part(car=tern, name="tank", made_by=make_job(skua, "Fold tank")))
    assert not Part.objects.exists()


def test_a_line_goes_where_it_is_put(bracket: Any, lines: Any, wording: Any, process: Any) -> None:
    operation_save(part=bracket, wording=wording(process=process("blast"), follows=lines[1]))
    assert card(bracket) == ["fabricate", "machine", "blast", "zinc_plate"]
    operation_save(part=bracket, wording=wording(process=process("supply"), follows=None))
    assert card(bracket) == ["supply", "fabricate", "machine", "blast", "zinc_plate"]
    assert [line.sequence for line in bracket.operations.all()] == [1, 2, 3, 4, 5]


def test_a_line_is_changed_and_moved(
    bracket: Any, lines: Any, wording: Any, tern: Any, make_job: Any
) -> None:
    fit = make_job(tern, "Trial fit")
    operation_save(
        part=bracket,
        operation=lines[2],
        version=1,
        wording=wording(colour="clear", follows=lines[0], after_jobs=[fit]),
    )
    assert card(bracket) == ["fabricate", "zinc_plate", "machine"]
    line = Operation.objects.get(pk=lines[2].pk)
    assert (line.colour, line.version, list(line.after_jobs.all())) == ("clear", 2, [fit])


def test_two_people_change_one_line_and_the_second_is_told(bracket: Any, lines: Any, wording: Any) -> None:
    operation_save(
        part=bracket, operation=lines[2], version=1, wording=wording(colour="clear", follows=lines[1])
    )
    with pytest.raises(ValidationError, match="changed by somebody else"):
        operation_save(
            part=bracket, operation=lines[2], version=1, wording=wording(colour="black", follows=lines[1])
        )
    assert Operation.objects.get(pk=lines[2].pk).colour == "clear"


@pytest.mark.parametrize("leads", [(5, 3, 9), (3, 9, 5), (-1, 5, 9), (3, 5, 501), (3, 5, 10**9)], ids=str)
def test_lead_times_rise_and_are_sane(bracket: Any, lines: Any, wording: Any, leads: Any) -> None:
    low, likely, high = leads
    with pytest.raises(ValidationError):
        operation_save(
            part=bracket,
            wording=wording(
                lead_low_days=low, lead_likely_days=likely, lead_high_days=high, follows=lines[2]
            ),
        )
    assert bracket.operations.count() == 3


def test_a_line_is_not_put_before_one_that_has_gone(
    bracket: Any, lines: Any, wording: Any, fitter: Any, day: Any
) -> None:
    operation_send(operation=lines[0], on=day(0), by=fitter)
    with pytest.raises(ValidationError, match="can only stand after it"):
        operation_save(part=bracket, wording=wording(follows=None))
    assert card(bracket) == ["fabricate", "machine", "zinc_plate"]


def test_what_the_supplier_was_told_stays(
    bracket: Any, lines: Any, wording: Any, process: Any, welder: Any, plater: Any, fitter: Any, day: Any
) -> None:
    operation_send(operation=lines[0], on=day(0), by=fitter)
    same = {"process": process("fabricate"), "supplier": welder}
    with pytest.raises(ValidationError, match="supplier cannot be changed"):
        operation_save(
            part=bracket, operation=lines[0], version=2, wording=wording(**{**same, "supplier": plater})
        )
    operation_save(part=bracket, operation=lines[0], version=2, wording=wording(**same, cost=Decimal("9")))
    line = Operation.objects.get(pk=lines[0].pk)
    assert (line.supplier, line.cost, line.lead_high_days, line.state) == (welder, Decimal(9), 9, "out")


def test_the_finish_of_a_line_in_a_batch_stays(
    bracket: Any, lines: Any, wording: Any, plater: Any, process: Any
) -> None:
    lines[2].batch = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    lines[2].save()
    with pytest.raises(ValidationError, match="take it out of the batch"):
        operation_save(
            part=bracket, operation=lines[2], version=1, wording=wording(colour="blue", follows=lines[1])
        )
    with pytest.raises(ValidationError, match="take it out of the batch"):
        operation_delete(operation=lines[2])
    assert bracket.operations.count() == 3


def test_a_supplier_must_offer_the_process(
    bracket: Any, lines: Any, wording: Any, plater: Any, process: Any
) -> None:
    plater.processes.add(process("galvanise"))
    with pytest.raises(ValidationError, match="does not offer “Zinc plate”"):
        operation_save(part=bracket, wording=wording(follows=lines[2]))
    assert bracket.operations.count() == 3


def test_a_line_comes_after_jobs_of_its_own_car(
    bracket: Any, lines: Any, wording: Any, skua: Any, make_job: Any
) -> None:
    with pytest.raises(ValidationError, match="job of another car"):
        operation_save(part=bracket, wording=wording(follows=lines[2], after_jobs=[make_job(skua, "Fit")]))
    assert bracket.operations.count() == 3


def test_a_line_that_makes_a_rejected_one_good_takes_over_the_jobs_that_wait(
    bracket: Any, lines: Any, wording: Any, process: Any, fitter: Any, day: Any, tern: Any, make_job: Any
) -> None:
    fit = make_job(tern, "Trial fit")
    Need.objects.create(job=fit, part=bracket, operation=lines[0])
    operation_send(operation=lines[0], on=day(-1), by=fitter)
    operation_reject(operation=lines[0], on=day(0), by=fitter, reason="scrap", rework=False)
    good = operation_save(
        part=bracket,
        wording=wording(process=process("machine"), follows=lines[0], makes_good=lines[0]),
    )
    assert fit.part_needs.get().operation == good
    assert operation_send(operation=good, on=day(0), by=fitter).state == "out"


def test_only_a_rejected_line_of_this_card_is_made_good(bracket: Any, lines: Any, wording: Any) -> None:
    with pytest.raises(ValidationError, match="not a rejected line"):
        operation_save(part=bracket, wording=wording(follows=lines[2], makes_good=lines[0]))
    assert bracket.operations.count() == 3


def test_a_line_still_to_do_is_struck_out(bracket: Any, lines: Any, fitter: Any, day: Any) -> None:
    operation_delete(operation=lines[1])
    assert card(bracket) == ["fabricate", "zinc_plate"]
    operation_send(operation=lines[0], on=day(0), by=fitter)
    with pytest.raises(ValidationError, match="still to do can be struck out"):
        operation_delete(operation=lines[0])
    assert card(bracket) == ["fabricate", "zinc_plate"]


def test_a_line_that_a_job_waits_for_is_not_struck_out(
    bracket: Any, lines: Any, tern: Any, make_job: Any
) -> None:
    Need.objects.create(job=make_job(tern, "Trial fit"), part=bracket, operation=lines[1])
    with pytest.raises(ValidationError, match="“Trial fit” needs the part"):
        operation_delete(operation=lines[1])
    assert (bracket.operations.count(), Need.objects.count()) == (3, 1)

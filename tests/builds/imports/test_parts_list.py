"""A parts list from a file: parts, route cards, and what they wait for."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from builds.models import Car, Job, Need
from parts.models import Operation, Part, Supplier

LIST = """part;drawing;material;qty;mass (kg);length;width;height;process;supplier;lead time;colour;for jobs
Tank;FO-12;Aluminium 5xxx;1;9,5;900 mm;42 cm;0,26 m;Fabricate;;20;;Trial fit
Tank;;;;;;;;Anodise;Ferrand Plating;10;gunmetal;Fit the tank
Strap;;steel_mild;2;600 g;;;;Supply;;7;;"Trial fit; Fit the tank"
"""


def faults(plan: Any) -> list[str]:
    return [str(fault) for fault in plan.faults]


@pytest.fixture
def jobs(tern: Car, make_job: Callable[..., Any]) -> list[Job]:
    return [make_job(tern, "Draw it"), make_job(tern, "Trial fit"), make_job(tern, "Fit the tank")]


def test_a_list_becomes_parts_with_route_cards(
    tern: Car, jobs: list[Job], plater: Supplier, add: Callable[..., Any]
) -> None:
    add(tern, parts=LIST)
    tank = Part.objects.get(name="Tank")
    assert (tank.drawing_number, tank.material.key, tank.quantity) == ("FO-12", "al_5xxx", 1)
    assert (tank.mass_kg, tank.length_mm, tank.width_mm, tank.height_mm) == (Decimal("9.5"), 900, 420, 260)
    assert [
        (line.sequence, line.process.key, line.supplier, line.lead_likely_days, line.colour)
        for line in tank.operations.order_by("sequence")
    ] == [(1, "fabricate", None, 20, ""), (2, "anodise_decorative", plater, 10, "gunmetal")]
    assert Part.objects.get(name="Strap").mass_kg == Decimal("0.6")


def test_a_job_needs_the_part_as_it_is_after_that_line(
    tern: Car, jobs: list[Job], plater: Supplier, add: Callable[..., Any]
) -> None:
    add(tern, parts=LIST)
    needs = Need.objects.filter(part__name="Tank").order_by("pk")
    assert [(need.job.title, need.operation and need.operation.sequence) for need in needs] == [
        ("Trial fit", 1),
        ("Fit the tank", None),
    ]


def test_the_same_file_twice_adds_nothing_twice(
    tern: Car, jobs: list[Job], plater: Supplier, add: Callable[..., Any]
) -> None:
    assert add(tern, parts=LIST).counts == "2 parts and 3 lines of route cards"
    plan = add(tern, parts=LIST)
    assert (plan.adds_anything, len(plan.parts_there)) == (False, 3)
    assert (Part.objects.count(), Operation.objects.count(), Need.objects.count()) == (2, 3, 4)


def test_a_further_line_of_a_part_that_is_there_is_added(
    tern: Car, make_part: Callable[..., Any], add: Callable[..., Any]
) -> None:
    tank = make_part(tern, "Tank", route=[("fabricate", None, 5)])
    plan = add(tern, parts="part,line,process,lead time\ntank,1,Fabricate,5\nTANK,2,Powder coat,8\n")
    assert [line.process.key for line in tank.operations.order_by("sequence")] == ["fabricate", "powder_coat"]
    assert [there.row for there in plan.parts_there] == [2]


def test_a_plain_list_of_names_is_enough(tern: Car, add: Callable[..., Any]) -> None:
    add(tern, parts="part,quantity\nHorn,2\nBattery,\n")
    assert list(Part.objects.values_list("name", "quantity")) == [("Battery", 1), ("Horn", 2)]


def test_what_is_out_is_recorded_with_its_promise(
    tern: Car, plater: Supplier, manager: Any, add: Callable[..., Any]
) -> None:
    today = timezone.localdate()
    sent, promised = today - timedelta(days=10), today + timedelta(days=4)
    add(
        tern,
        parts="part,process,supplier,lead time,goods out,promised\n"
        f"Bracket,Zinc plate,Ferrand Plating,6,{sent:%d/%m/%Y},{promised:%d %b %Y}\n",
    )
    line = Operation.objects.get()
    assert (line.state, line.sent_on, line.promised_on) == ("out", sent, promised)
    promise = line.promises.get()
    assert (promise.promised_on, promise.made_on, promise.by) == (promised, today, manager)


def test_jobs_before_the_part_and_before_a_line(tern: Car, jobs: list[Job], add: Callable[..., Any]) -> None:
    add(
        tern,
        parts="part,made by,process,lead time,after\n"
        "Tank,Draw it,Fabricate,20,\nTank,,Anodise,10,Trial fit\n",
    )
    tank = Part.objects.get()
    assert tank.made_by == jobs[0]
    assert list(tank.operations.get(sequence=2).after_jobs.all()) == [jobs[1]]


def test_both_lists_together_may_name_each_other(tern: Car, area: Any, add: Callable[..., Any]) -> None:
    add(
        tern,
        jobs="area,title,hours,needs\ncooling,Draw it,2,\ncooling,Fit it,3,Radiator\n",
        parts="part,made by,process,lead time,needed by\nRadiator,Draw it,Fabricate,15,Fit it\n",
    )
    assert Need.objects.get().job.title == "Fit it"
    assert Part.objects.get().made_by.title == "Draw it"


WRONG = [
    ("Horn,Polsh,,3,,,", "process: there is no process “Polsh”. The nearest is “Polish”."),
    ("Horn,Polish,Ferand,3,,,", "supplier: there is no supplier “Ferand”. The nearest is “Ferrand Plating”."),
    ("Horn,Polish,,,,,", "lead time likely: is empty."),
    (
        "Horn,Polish,,2 weeks,,,",
        "lead time likely: has the unit “weeks”: write working days, 10 for two weeks.",
    ),
    ("Horn,Polish,,501,,,", "lead time likely: 501 working days: write a whole number from 0 to 500."),
    ("Horn,,,3,,,", "process: is empty, but there is a lead time likely."),
    ("Horn,Polish,,3,0,,", "quantity: 0: write a whole number from 1 to 10000."),
    ("Horn,Polish,,3,,01/01/2020,", "goods out: says it is out, but there is no supplier."),
    ("Horn,Polish,Ferrand Plating,3,,31/02/2020,", "goods out: “31/02/2020” is not a date"),
    ("Horn,Polish,Ferrand Plating,3,,03/25/2020,", "goods out: “03/25/2020” is not a date"),
    ("Horn,Polish,Ferrand Plating,3,,01/01/2090,", "goods out: 01/01/2090 is still to come."),
    ("Horn,Polish,Ferrand Plating,3,,01/02/2020,01/01/2020", "promised: it cannot come back before it went"),
    ("Horn,Polish,Ferrand Plating,3,,,01/01/2020", "promised: says when it comes back, but not when it went"),
    (",Polish,,3,,,", "part: is empty."),
]


@pytest.mark.parametrize(("row", "words"), WRONG, ids=[words for _, words in WRONG])
def test_a_fault_names_row_and_column(
    tern: Car,
    plater: Supplier,
    preview: Callable[..., Any],
    add: Callable[..., Any],
    row: str,
    words: str,
) -> None:
    content = f"part,process,supplier,lead time,quantity,goods out,promised\nGood one,Supply,,3,,,\n{row}\n"
    found = faults(preview(tern, parts=content))
    assert any(fault.startswith("Parts list, row 3, ") and words in fault for fault in found), found
    with pytest.raises(ValidationError):
        add(tern, parts=content)
    assert not Part.objects.exists()


def test_rows_that_disagree_about_a_part_are_named(tern: Car, preview: Callable[..., Any]) -> None:
    content = "part,quantity,process,lead time\nTank,1,Fabricate,5\nTank,2,Powder coat,3\n"
    assert faults(preview(tern, parts=content)) == [
        "Parts list, row 3, quantity: row 2 says something else about the same part."
    ]


def test_a_line_that_is_another_here_is_not_overwritten(
    tern: Car, make_part: Callable[..., Any], preview: Callable[..., Any]
) -> None:
    make_part(tern, "Tank", route=[("fabricate", None, 5)])
    plan = preview(tern, parts="part,process,lead time\nTank,Powder coat,3\n")
    assert "line 1 of “Tank” is Fabricate here and Powder coat in the file" in faults(plan)[0]


def test_a_line_may_not_come_before_one_that_is_out(
    tern: Car, plater: Supplier, make_part: Callable[..., Any], preview: Callable[..., Any]
) -> None:
    tank = make_part(tern, "Tank")
    Operation.objects.create(
        part=tank,
        sequence=2,
        process_id=make_part(tern, "Other", route=[("zinc_plate", plater, 3)]).operations.get().process_id,
        supplier=plater,
        lead_low_days=3,
        lead_likely_days=3,
        lead_high_days=3,
        sent_on=timezone.localdate(),
    )
    plan = preview(tern, parts="part,line,process,lead time\nTank,1,Polish,3\n")
    assert "line: a later line of the same part is out or back already" in faults(plan)[0]


def test_only_the_first_line_can_be_out(tern: Car, plater: Supplier, preview: Callable[..., Any]) -> None:
    content = (
        "part,process,supplier,lead time,goods out\n"
        "Tank,Fabricate,,5,\nTank,Zinc plate,Ferrand Plating,5,01/02/2024\n"
    )
    assert "only the first line of a part can be out" in faults(preview(tern, parts=content))[0]


def test_a_job_list_sent_as_a_parts_list_is_refused(tern: Car, preview: Callable[..., Any]) -> None:
    from builds.importing.faults import FileRefused

    with pytest.raises(FileRefused, match="Parts list: No row with the headings “part” was found"):
        preview(tern, parts="area,title,hours\ncooling,Bleed,1\n")

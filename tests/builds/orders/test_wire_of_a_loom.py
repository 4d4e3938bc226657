"""Wire of a loom on Orders: put there once, by the reel; a later revision tells what more is needed."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.models import Job, Need
from builds.network import load_workshop
from engineering.models import CalcSheet, WireBought
from engineering.services import calc_sheet_save
from engineering.sheets.loom_rows import generic_lines
from parts.models import Operation, Part
from parts.services.operations import operations_order

FORM = {"supplier": "", "reel_m": "50", "lead_low_days": "1", "lead_likely_days": "3", "lead_high_days": "10"}


def inputs(lengths: dict[str, str] | None = None) -> dict[str, Any]:
    typed = generic_lines() | {"body_v": 0.1, "least_mm2": 0.5, "tail_mm": 100.0, "loop_mm": 0.0}
    for run in typed["runs"]:
        run["length_mm"] = (lengths or {}).get(run["name"], run["length_mm"])
    return typed


@pytest.fixture
def job(tern: Any, make_job: Any, first_start_up: Any) -> Job:
    made = make_job(tern, "Build the loom")
    first_start_up(tern, made, promised=date(2027, 6, 1))
    return made


@pytest.fixture
def keep(job: Job, manager: Any) -> Any:
    def keep(given: dict[str, Any], title: str = "Main loom") -> CalcSheet:
        return calc_sheet_save(job=job, kind="loom", title=title, inputs=given, by=manager, at=timezone.now())

    return keep


@pytest.fixture
def sheet(keep: Any) -> CalcSheet:
    return keep(inputs())


def put(client: Client, sheet: CalcSheet, job: Job, **more: str) -> Any:
    given = FORM | {"needed_by": str(job.pk)} | more
    return client.post(reverse("loom-order", args=[sheet.pk]), given, follow=True)


def wire(sheet: CalcSheet, *, thick: bool) -> list[dict[str, Any]]:
    return [row for row in sheet.results["buy"] if (float(row["size"].split()[0]) >= 10) == thick]


def test_each_colour_and_size_becomes_a_line_with_an_order_by_date(
    as_manager: Client, sheet: CalcSheet, job: Job
) -> None:
    """Reels of 50 m: metres with waste over 50, rounded up; from 10 mm² whole metres."""
    page = put(as_manager, sheet, job)
    assert Part.objects.count() == len(sheet.results["buy"])
    for row in sheet.results["buy"]:
        bought = WireBought.objects.get(colour=row["colour"], size=row["size"])
        piece_m = 1 if row in wire(sheet, thick=True) else 50
        assert bought.part.quantity == math.ceil(row["length_m"] / piece_m)
        assert row["size"] in bought.part.name
        assert row["colour"] in bought.part.name
    lines = Operation.objects.all()
    assert {line.process.key for line in lines} == {"supply"}
    assert Need.objects.filter(job=job).count() == len(lines)
    assert "/orders/" in page.redirect_chain[-1][0]
    shown = page.context["sheet"].now
    assert len(shown) == len(lines)
    facts = load_workshop(timezone.localdate()).facts()
    assert all(facts.operations[line.pk].order_by is not None for line in lines)


def test_all_of_it_may_be_bought_by_the_metre(as_manager: Client, sheet: CalcSheet, job: Job) -> None:
    put(as_manager, sheet, job, reel_m="1")
    for row in sheet.results["buy"]:
        bought = WireBought.objects.get(colour=row["colour"], size=row["size"])
        assert bought.part.quantity == math.ceil(row["length_m"])
        assert bought.part.name.endswith("by the metre")


def test_pressed_twice_it_is_there_once(as_manager: Client, sheet: CalcSheet, job: Job) -> None:
    put(as_manager, sheet, job)
    before = sorted(Part.objects.values_list("name", "quantity"))
    answer = put(as_manager, sheet, job)
    assert "on Orders already" in answer.content.decode()
    assert sorted(Part.objects.values_list("name", "quantity")) == before


def test_a_longer_run_asks_for_no_more_where_a_reel_holds_it(
    as_manager: Client, sheet: CalcSheet, job: Job, keep: Any
) -> None:
    put(as_manager, sheet, job)
    reels = [row for row in sheet.results["buy"] if row in wire(sheet, thick=False)]
    assert all(row["length_m"] < 50 for row in reels if row["size"] == "0.5 mm²")
    newer = keep(inputs({"R9": "560"}))
    page = as_manager.get(newer.get_absolute_url())
    thin = [line for line in page.context["wire_short"] if not line.is_by_the_metre]
    assert thin == []


def test_a_later_revision_tells_and_orders_only_what_more_is_needed(
    as_manager: Client, sheet: CalcSheet, job: Job, keep: Any
) -> None:
    """The battery run a metre longer: M1 to M3 in it, of 10 mm² and more, by the metre."""
    put(as_manager, sheet, job)
    newer = keep(inputs({"R1": "1900"}))
    page = as_manager.get(newer.get_absolute_url())
    short = {(line.size, line.colour): line.more_m for line in page.context["wire_short"]}
    needed = {(row["size"], row["colour"]): row["length_m"] for row in newer.results["buy"]}
    had = {(one.size, one.colour): one.metres for one in WireBought.objects.all()}
    expected = {key: metres - had.get(key, 0) for key, metres in needed.items() if metres > had.get(key, 0)}
    assert short == pytest.approx(expected)
    assert short
    assert "More wire is needed" in page.content.decode()
    put(as_manager, newer, job)
    now = {(one.size, one.colour): one.metres for one in WireBought.objects.all()}
    for key, metres in needed.items():
        assert now[key] >= metres
    assert as_manager.get(newer.get_absolute_url()).context["wire_short"] == []


def test_what_is_ordered_stays_and_the_rest_becomes_a_part_of_its_own(
    as_manager: Client, sheet: CalcSheet, job: Job, keep: Any, plater: Any, manager: Any
) -> None:
    put(as_manager, sheet, job, supplier=str(plater.pk))
    operations_order(operations=list(Operation.objects.all()), on=timezone.localdate(), by=manager)
    ordered = dict(Part.objects.values_list("pk", "quantity"))
    put(as_manager, keep(inputs({"R1": "1900"})), job)
    assert {
        pk: quantity for pk, quantity in Part.objects.values_list("pk", "quantity") if pk in ordered
    } == ordered
    added = Part.objects.exclude(pk__in=ordered)
    assert added
    assert all(part.operations.get().sent_on is None for part in added)


def test_a_part_struck_out_is_short_again(as_manager: Client, sheet: CalcSheet, job: Job) -> None:
    put(as_manager, sheet, job)
    one = WireBought.objects.first()
    assert one is not None
    key = (one.size, one.colour)
    one.part.delete()
    page = as_manager.get(reverse("loom-order", args=[sheet.pk]))
    assert [(line.size, line.colour) for line in page.context["short"]] == [key]


def test_what_a_revision_no_longer_needs_is_named(
    as_manager: Client, sheet: CalcSheet, job: Job, keep: Any
) -> None:
    put(as_manager, sheet, job)
    given = inputs()
    for line in given["wires"]:
        line["colour"] = "U" if line["colour"] == "PY" else line["colour"]
    newer = keep(given)
    page = as_manager.get(newer.get_absolute_url())
    gone = {one.colour for one in page.context["wire_needless"]}
    assert gone == {"PY"}


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"needed_by": ""}, "required"),
        ({"needed_by": "999999"}, "valid choice"),
        ({"reel_m": "7"}, "valid choice"),
        ({"supplier": "999999"}, "valid choice"),
        ({"lead_low_days": "9"}, "rising order"),
        ({"lead_high_days": "-1"}, "greater than or equal"),
    ],
)
def test_what_cannot_be_meant_orders_nothing(
    as_manager: Client, sheet: CalcSheet, job: Job, typed: dict[str, str], words: str
) -> None:
    answer = put(as_manager, sheet, job, **typed)
    assert words in str(answer.context["form"].errors)
    assert not Part.objects.exists()


def test_neither_an_old_revision_nor_a_faulty_one_is_ordered(
    as_manager: Client, sheet: CalcSheet, job: Job, keep: Any
) -> None:
    newer = keep(inputs({"R9": "560"}))
    assert "newer revision" in put(as_manager, sheet, job).content.decode()
    newer.results["faults"] = [{"kind": "x", "thing": "x", "message": "x"}]
    newer.save()
    assert "faults to put right" in put(as_manager, newer, job).content.decode()
    assert not Part.objects.exists()


def test_a_form_of_the_job_that_was_open_meanwhile_is_told(
    as_manager: Client, sheet: CalcSheet, job: Job
) -> None:
    put(as_manager, sheet, job)
    assert Job.objects.get(pk=job.pk).version == job.version + 1


def test_only_managers_order(as_fitter: Client, sheet: CalcSheet, job: Job) -> None:
    assert put(as_fitter, sheet, job).status_code == 403
    assert not Part.objects.exists()

"""The demo's loom: 117 wires from measured runs, and what measuring one run again changed."""

from __future__ import annotations

from typing import Any

from django.core.management import call_command

from builds.demo.wiring import LOOM_TITLE
from builds.models import Person
from engineering.models import Bench, CalcSheet


def test_one_run_measured_again_is_told_wire_by_wire(db: Any, client: Any) -> None:
    call_command("load_demo")
    first, second = CalcSheet.objects.filter(kind="loom", title=LOOM_TITLE).order_by("revision")
    assert len(first.results["wires"]) == 117
    assert first.results["faults"] == second.results["faults"] == []
    client.force_login(Person.objects.get(name="Ines Brandt"))
    changed = client.get(second.get_absolute_url()).context["changed"]
    through = {row["label"] for row in first.results["cut"] if "R11" in row["route"]}
    assert {thing for thing, what, *_ in changed if what == "cut length"} == through


def test_half_of_the_loom_is_made_and_one_reading_asks_to_look_again(db: Any, client: Any) -> None:
    """Every wire through R11 was cut anew after the tape; the ninth wire tested has a crimp of 40 mΩ."""
    call_command("load_demo")
    first = CalcSheet.objects.get(kind="loom", title=LOOM_TITLE, revision=1)
    bench = Bench.objects.get()
    client.force_login(Person.objects.get(name="Ines Brandt"))
    page = client.get(bench.get_absolute_url()).context["page"]
    assert bench.sheet.revision == 2
    assert [one.done for one in page.progress] == [58, 58, 24, 24, 9]
    begun = [row["label"] for row in first.results["cut"] if "R11" in row["route"] and row["order"] <= 40]
    assert set(begun) <= set(bench.changes.exclude(lost="").values_list("label", flat=True))
    read = [line for line in page.lines if line.reading]
    assert [line.reading.passes for line in read] == [True] * 8 + [False]

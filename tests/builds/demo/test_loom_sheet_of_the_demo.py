"""The demo's loom: 117 wires from measured runs, and what measuring one run again changed."""

from __future__ import annotations

from typing import Any

from django.core.management import call_command

from builds.demo.wiring import LOOM_TITLE
from builds.models import Person
from engineering.models import CalcSheet


def test_one_run_measured_again_is_told_wire_by_wire(db: Any, client: Any) -> None:
    call_command("load_demo")
    first, second = CalcSheet.objects.filter(kind="loom", title=LOOM_TITLE).order_by("revision")
    assert len(first.results["wires"]) == 117
    assert first.results["faults"] == second.results["faults"] == []
    client.force_login(Person.objects.get(name="Ines Brandt"))
    changed = client.get(second.get_absolute_url()).context["changed"]
    through = {row["label"] for row in first.results["cut"] if "R11" in row["route"]}
    assert {thing for thing, what, *_ in changed if what == "cut length"} == through

"""Circuits of a plain car added one by one to a loom that stands already."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engineering.loom.circuits import follow
from engineering.loom.generic import GENERIC
from engineering.models import CalcSheet
from engineering.sheets.loom_more import with_circuits
from engineering.sheets.loom_rows import loom_of
from engineering.sheets.loom_tables import TABLES
from tests.engineering.looms_typed import typed_generic, typed_pump

CAR = {
    "system_v": 12, "series": "metric", "return_path": "body", "insulation": "c", "body_v": 0.1,
    "least_mm2": 0.5, "tail_mm": 100.0, "loop_mm": 0.0,
}  # fmt: skip
BY_NAME = {circuit.name: circuit for circuit in GENERIC}


def tables_of(sent: dict[str, str]) -> dict[str, list[dict[str, str]]]:
    """What was typed, by table."""
    found: dict[str, list[dict[str, str]]] = {name: [] for name in TABLES}
    for name, columns in TABLES.items():
        number = 0
        while f"{name}-{number}-{columns[0].key}" in sent:
            found[name].append({c.key: sent.get(f"{name}-{number}-{c.key}", "") for c in columns})
            number += 1
    return found


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Build the loom")


def test_all_circuits_added_one_by_one_feed_every_load_through_a_fuse() -> None:
    """Followed by the core from the battery to the load and back; every name stands once."""
    tables = tables_of({})
    for circuit in GENERIC:
        tables = with_circuits(tables, [circuit])
    loom = loom_of(CAR | tables)
    circuits = follow(loom)
    assert circuits.faults == ()
    assert all(circuits.paths[component.name].devices for component in loom.components)
    assert len(loom.components) == sum(len(circuit.loads) for circuit in GENERIC)
    assert len(loom.wires) == 117
    assert len({run.name for run in loom.runs}) == len(loom.runs) == 15


def test_a_circuit_is_added_below_what_was_typed(as_fitter: Client, job: Any) -> None:
    sent = typed_pump() | {"return_path": "body", "body_v": "0.1", "add": ["Horns", "Wipers"]}
    answer = as_fitter.post(reverse("calc-sheet-try", args=[job.pk, "loom"]), sent)
    page = answer.content.decode()
    assert 'value="Pump"' in page
    assert 'value="Horn, left"' in page
    assert "common practice, no source" in page
    assert not CalcSheet.objects.exists()
    assert "checked" not in page.split("add-circuits")[1].split("</fieldset>")[0]  # not added a second time


def test_names_that_stand_already_are_not_taken_again() -> None:
    """The pump's own fuse is F1, and its battery BAT+ sits aft."""
    tables = with_circuits(tables_of(typed_pump()), [BY_NAME["Horns"]])
    assert [row["name"] for row in tables["devices"]] == ["F1", "MF1", "F2"]
    assert [row["name"] for row in tables["places"] if row["kind"] == "supply"] == ["BAT+"]
    assert next(row["joint"] for row in tables["places"] if row["name"] == "MF1") == "aft"


def test_a_second_circuit_shares_the_main_fuse_of_its_group() -> None:
    tables = with_circuits(tables_of({}), [BY_NAME["Horns"]])
    tables = with_circuits(tables, [BY_NAME["Wipers"]])
    assert [row["name"] for row in tables["devices"]] == ["MF1", "F1", "F2"]


def test_a_circuit_that_stands_already_is_refused_and_changes_nothing(as_fitter: Client, job: Any) -> None:
    sent = typed_generic() | {"add": ["Horns"]}
    answer = as_fitter.post(reverse("calc-sheet-try", args=[job.pk, "loom"]), sent)
    assert "“Horn, left” stands in the tables already" in " ".join(answer.context["form"].errors["add"])
    assert answer.content.decode().count('value="Horn, left"') == 2  # the place and the component


def test_a_circuit_that_nobody_knows_is_refused(as_fitter: Client, job: Any) -> None:
    answer = as_fitter.post(
        reverse("calc-sheet-try", args=[job.pk, "loom"]), typed_pump() | {"add": ["Ejector seat"]}
    )
    assert answer.context["form"].errors["add"]


def test_keeping_with_a_circuit_ticked_keeps_nothing_before_it_was_read(as_fitter: Client, job: Any) -> None:
    answer = as_fitter.post(
        reverse("calc-sheet-new", args=[job.pk, "loom"]), typed_pump() | {"add": ["Horns"]}
    )
    assert answer.status_code == 200
    assert not CalcSheet.objects.exists()

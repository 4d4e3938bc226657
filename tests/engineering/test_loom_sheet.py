"""The wire list: typed, sized, kept, revised, printed as a cut list, refused."""

from __future__ import annotations

import csv
import io
import itertools
import math
import time
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engineering.loom.generic import generic_loom
from engineering.models import CalcSheet
from engineering.sheets.loom_drawing import loom_view
from engineering.sheets.loom_rows import generic_lines, loom_of
from tests.engineering.looms_typed import typed_generic, typed_pump


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Build the loom")


@pytest.fixture
def typed() -> dict[str, str]:
    return typed_pump()


@pytest.fixture
def generic() -> dict[str, str]:
    return typed_generic()


def new(job: Any, act: str = "new") -> str:
    return reverse(f"calc-sheet-{act}", args=[job.pk, "loom"])


@pytest.mark.parametrize(("drop", "gauge"), [("critical", "10 AWG"), ("other", "16 AWG")])
def test_a_boat_pump_gets_the_gauge_of_the_chandlers_table(
    as_fitter: Client, job: Any, typed: dict[str, str], drop: str, gauge: str
) -> None:
    """12 V, 10 A, 21 ft there and back in a boat chandler's catalogue: 10 AWG for 3 %, 16 AWG for 10 %."""
    answer = as_fitter.post(new(job), typed | {"components-0-drop": drop}, follow=True)
    sheet = CalcSheet.objects.get()
    assert (sheet.kind, sheet.revision) == ("loom", 1)
    shown = answer.context["shown"]
    assert [(wire["label"], wire["size"]) for wire in shown["wires"]] == [("out", gauge), ("back", gauge)]
    assert shown["faults"] == []
    assert "start fires" in answer.content.decode()


def test_the_drop_is_that_of_the_handbook_formula(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    """I · ρ(T) · l / A with copper of IEC 60028 and the 2 % of strands, by hand on 9343 circular mils."""
    answer = as_fitter.post(new(job, "try"), typed)
    out = answer.context["shown"]["wires"][0]
    area_mm2 = 9343 * 0.000506707
    running = 1 + 0.00393 * (float(out["running"]) - 20)
    assert float(out["drop"]) == pytest.approx(10 / 58 * 1.02 * running * 3.2004 / area_mm2, rel=5e-3)
    assert not CalcSheet.objects.exists()


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"runs-0-length_mm": "-300"}, "runs", "Line 1: Run R: the length must be more than 0 mm"),
        ({"runs-0-length_mm": "0"}, "runs", "Line 1: Run R: the length must be more than 0 mm"),
        ({"runs-0-length_mm": "1,250"}, "runs", "Line 1, Length: “1,250” can be read two ways"),
        ({"runs-0-surroundings": "attic"}, "runs", "Line 1, Surroundings: surroundings “attic”"),
        ({"places-3-kind": "plug"}, "places", "Line 4, What it is: “plug” is not known"),
        ({"places-2-cavities": ""}, "places", "Line 3, Cavities: connector F has none"),
        ({"components-0-steady_a": "10 V"}, "components", "Line 1, Current: “10 V” is in V"),
        (
            {"components-0-steady_a": "900", "components-0-nature": "motor"},
            "components",
            "Line 1: Pump: the current of 900 A is more than",
        ),
        ({"devices-0-rating_a": "17"}, "devices", "Line 1: F1: no standard fuse has 17 A"),
        ({"wires-1-label": "out"}, "wires", "Line 2, Label: out stands already in row 1"),
        ({"wires-1-end": "P/9"}, "wires", "Line 2: Wire back"),
        ({"wires-0-via": "nowhere"}, "wires", "Line 1: Wire out: is to pass joint “nowhere”"),
        ({"wires-0-least_mm2": "2,5 mm"}, "wires", "Line 1, Least size"),
        ({"tail_mm": "9000"}, "tail_mm", "the allowance at an end of 9000 mm"),
        ({"system_v": "230"}, "system_v", "230"),
    ],
)
def test_what_cannot_be_meant_names_its_line_and_keeps_nothing(
    as_fitter: Client, job: Any, typed: dict[str, str], changes: dict[str, str], field: str, words: str
) -> None:
    answer = as_fitter.post(new(job), typed | changes)
    assert words in " ".join(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"devices-0-rating_a": "7.5"}, "F1"),
        ({"runs-0-measured_c": "130"}, "out"),
        ({"runs-0-end": "elsewhere"}, "out"),
    ],
)
def test_what_must_not_be_built_is_said_by_name(
    as_fitter: Client, job: Any, typed: dict[str, str], changes: dict[str, str], words: str
) -> None:
    """A fuse below its load, insulation in too hot a place, a wire without a way."""
    answer = as_fitter.post(new(job, "try"), typed | changes)
    faults = answer.context["shown"]["faults"]
    assert any(words in fault["message"] for fault in faults)
    assert "Not to be built like this" in answer.content.decode()


@pytest.mark.parametrize("text", ["inf", "-inf", "NaN", "1e308", "9" * 400])
@pytest.mark.parametrize("cell", ["runs-0-length_mm", "components-0-steady_a", "wires-1-given_mm2"])
def test_what_is_no_figure_names_its_line_and_keeps_nothing(
    as_fitter: Client, job: Any, typed: dict[str, str], cell: str, text: str
) -> None:
    answer = as_fitter.post(new(job), typed | {cell: text})
    assert "Line " in " ".join(answer.context["form"].errors[cell.partition("-")[0]])
    assert not CalcSheet.objects.exists()


def test_splices_in_a_ring_are_named(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    for number, splice in enumerate(("S1", "S2"), start=4):
        typed |= {
            f"places-{number}-name": splice,
            f"places-{number}-kind": "splice",
            f"places-{number}-joint": "fore",
        }
    typed["wires-0-end"] = "S1"
    more = (("w3", "S1", "S2"), ("w4", "S2", "S1"), ("w5", "S2", "P/+"))
    for number, (label, start, end) in enumerate(more, start=2):
        typed |= {f"wires-{number}-label": label, f"wires-{number}-start": start, f"wires-{number}-end": end}
        typed |= {f"wires-{number}-circuit": "Pump", f"wires-{number}-colour": "N"}

    faults = as_fitter.post(new(job, "try"), typed).context["shown"]["faults"]

    assert any(fault["message"].startswith("w4, w3: make a ring") for fault in faults)


def test_units_in_the_cells_are_understood(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    metric = {"series": "metric", "wires-0-least_mm2": "2,5 mm²", "wires-1-given_mm2": "6 mm2"}
    shown = as_fitter.post(new(job, "try"), typed | metric).context["shown"]
    sizes = {wire["label"]: wire["size"] for wire in shown["wires"]}
    assert sizes["back"] == "6 mm²"
    assert float(sizes["out"].split()[0]) >= 2.5


def test_a_joint_of_two_words_may_pin_a_wire() -> None:
    lines = generic_lines()
    lines["wires"][0] |= {"via": "nose left, dash", "avoid": "R5 R6"}
    inputs = lines | {"body_v": 0.1, "least_mm2": 0.5, "tail_mm": 100.0, "loop_mm": 0.0}
    wire = loom_of(inputs).wires[0]
    assert (wire.via, wire.avoid) == (("nose left", "dash"), ("R5", "R6"))


def test_the_generic_car_fills_the_tables(as_fitter: Client, job: Any) -> None:
    page = as_fitter.get(new(job) + "?from=generic").content.decode()
    assert 'name="wires-116-label"' in page
    assert 'name="runs-0-name" value="R1"' in page
    assert 'name="runs-0-name" value="R1"' not in as_fitter.get(new(job)).content.decode()


def test_typed_and_read_again_it_is_the_same_list() -> None:
    inputs = generic_lines() | {"body_v": 0.1, "least_mm2": 0.5, "tail_mm": 100.0, "loop_mm": 0.0}
    read, given = loom_of(inputs), generic_loom()
    for name in ("wires", "runs", "components", "devices", "links", "splices", "grounds", "supplies"):
        assert getattr(read, name) == getattr(given, name), name
    assert set(read.connectors) == set(given.connectors)


def test_117_wires_go_from_runs_to_a_cut_list(
    as_fitter: Client, job: Any, generic: dict[str, str], settings: Any
) -> None:
    began = time.process_time()
    answer = as_fitter.post(new(job), generic, follow=True)
    assert time.process_time() - began < 10  # seconds of this machine, page and all; usually about two
    shown = answer.context["shown"]
    assert (shown["count"], shown["faults"]) == (117, [])
    sheet = CalcSheet.objects.get()
    printed = as_fitter.get(reverse("calc-sheet-print", args=[sheet.pk]))
    assert printed["Content-Type"] == "application/pdf"
    text = as_fitter.get(reverse("calc-sheet-table", args=[sheet.pk])).content.decode("utf-8-sig")
    lines = list(csv.reader(io.StringIO(text)))
    assert len(lines) == 118
    assert lines[0][-5:] == ["cut", "labelled", "laid", "terminated", "tested"]
    copper_kg = sum(row["copper_g"] for row in sheet.results["cut"]) / 1000
    assert shown["copper"] == f"{copper_kg:.2f}"


def test_one_run_measured_again_changes_exactly_the_wires_through_it(
    as_fitter: Client, job: Any, generic: dict[str, str]
) -> None:
    as_fitter.post(new(job), generic)
    first = CalcSheet.objects.get()
    through = {row["label"] for row in first.results["cut"] if "R9" in row["route"]}
    assert 0 < len(through) < 117
    address = reverse("calc-sheet-revise", args=[first.pk])
    page = as_fitter.post(address, generic | {"runs-8-length_mm": "560"}, follow=True)
    changed = page.context["changed"]
    assert {thing for thing, *_ in changed} == through
    assert {what for _, what, *_ in changed} == {"cut length"}
    assert "What changed since revision 1" in page.content.decode()
    before = {row["label"]: row["cut_mm"] for row in first.results["cut"]}
    after = {row["label"]: row["cut_mm"] for row in CalcSheet.objects.get(revision=2).results["cut"]}
    longer = {label for label, cut_mm in after.items() if cut_mm != before[label]}
    assert longer == through
    assert {after[label] - before[label] for label in through} == {60}


def test_a_revision_that_changes_nothing_says_so(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    as_fitter.post(new(job), typed)
    address = reverse("calc-sheet-revise", args=[CalcSheet.objects.get().pk])
    page = as_fitter.post(address, typed, follow=True)
    assert page.context["changed"] == []
    assert "Nothing that is cut" in page.content.decode()


def test_the_print_has_boxes_for_a_pen(
    as_fitter: Client, job: Any, typed: dict[str, str], settings: Any
) -> None:
    as_fitter.post(new(job), typed)
    page = as_fitter.get(CalcSheet.objects.get().get_absolute_url()).content.decode()
    assert page.count('<td class="tick">') == 2 * 5


def length_px(line: dict[str, str]) -> float:
    return math.dist((float(line["x1"]), float(line["y1"])), (float(line["x2"]), float(line["y2"])))


def crosses(one: dict[str, str], other: dict[str, str]) -> bool:
    """Whether two stretches cross between their ends: signs of the areas, any textbook of geometry."""

    def ends(line: dict[str, str]) -> tuple[complex, complex]:
        return complex(float(line["x1"]), float(line["y1"])), complex(float(line["x2"]), float(line["y2"]))

    def side(start: complex, end: complex, point: complex) -> float:
        return ((end - start).conjugate() * (point - start)).imag

    (a, b), (c, d) = ends(one), ends(other)
    if min(abs(p - q) for p in (a, b) for q in (c, d)) < 0.2:
        return False  # they meet in a joint
    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def test_the_picture_keeps_lengths_and_lets_no_run_cross_another(
    as_fitter: Client, job: Any, generic: dict[str, str]
) -> None:
    answer = as_fitter.post(new(job, "try"), generic)
    view = answer.context["shown"]["view"]
    mm = {run.name: run.length_mm for run in generic_loom().runs}
    scales = [length_px(line) / mm[line["name"]] for line in view["lines"]]
    assert len(scales) == 15
    assert view["left_out"] == []
    assert max(scales) == pytest.approx(min(scales), rel=2e-3)  # hundredths of a pixel are printed
    assert not any(crosses(one, other) for one, other in itertools.combinations(view["lines"], 2))
    height, width = float(view["height"]), float(view["width"])
    assert all(
        0 <= float(joint["x"]) <= width and 0 <= float(joint["y"]) <= height for joint in view["joints"]
    )


def test_a_run_that_closes_a_ring_is_named_not_drawn_wrong() -> None:
    ring = [
        {"name": name, "start": start, "end": end, "length_mm": 500.0, "diameter_mm": 8.0}
        for name, start, end in (("R1", "a", "b"), ("R2", "b", "c"), ("R3", "c", "a"))
    ]
    view = loom_view(ring)
    assert view is not None
    assert len(view["lines"]) == 2
    assert len(view["left_out"]) == 1


def test_one_current_changes_its_own_wires_and_those_that_share_its_feed_or_its_runs(
    as_fitter: Client, job: Any, generic: dict[str, str]
) -> None:
    """A radiator fan of 22 A in place of 15 A. Circuits 9 to 14 hang on the same main feed."""
    as_fitter.post(new(job), generic)
    first = CalcSheet.objects.get()
    (at,) = (key for key, cell in generic.items() if cell == "Fan motor" and key.startswith("components"))
    stronger = generic | {at.replace("-name", "-steady_a"): "22 A"}
    page = as_fitter.post(reverse("calc-sheet-revise", args=[first.pk]), stronger, follow=True)
    changed = {thing for thing, *_ in page.context["changed"]}
    assert {"12.1", "12.2", "12.3", "F12", "M2", "MF2"} <= changed
    runs = {row["label"]: set(row["route"]) for row in first.results["cut"]}
    beside = {label for label in runs if runs[label] & (runs["12.1"] | runs["12.2"] | runs["12.3"])}
    on_its_feed = {label for label in runs if label.split(".")[0] in {"9", "10", "11", "12", "13", "14"}}
    assert len(beside | on_its_feed) < len(runs)
    assert changed <= beside | on_its_feed | {"F12", "M2", "MF2"}

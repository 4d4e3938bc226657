"""What a loom maker prints: labels, pin-outs and the form board, read back from the PDF."""

from __future__ import annotations

import io
import math
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from engineering.bench.board import PAPERS, board_of, full_size, overview, sheets_of
from engineering.models import CalcSheet
from engineering.services import calc_sheet_save
from engineering.sheets.loom_rows import generic_lines


@pytest.fixture
def sheet(tern: Any, make_job: Any, fitter: Any) -> CalcSheet:
    inputs = generic_lines() | {"body_v": 0.1, "least_mm2": 0.5, "tail_mm": 100.0, "loop_mm": 0.0}
    spare = next(row for row in inputs["places"] if row["kind"] == "connector")
    spare["cavities"] += " 99"  # nothing goes in
    job = make_job(tern, "Build the loom")
    return calc_sheet_save(
        job=job, kind="loom", title="Main loom", inputs=inputs, by=fitter, at=timezone.now()
    )


def pages(client: Client, name: str, sheet: CalcSheet, query: str = "") -> list[str]:
    answer = client.get(reverse(name, args=[sheet.pk]) + query)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    return [page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages]


def test_every_wire_has_a_label_for_each_end(as_fitter: Client, sheet: CalcSheet) -> None:
    text = " ".join(" ".join(pages(as_fitter, "loom-labels", sheet)).split())
    for row in sheet.results["cut"]:
        for end in ("start", "end"):
            words = f"{row['label']} {row['colour']} {row[end]}"
            assert words[:20] in text, words
    assert "must measure 100 mm" in text
    assert "does not replace the applicable standard" in text
    assert "never with a flame" in text


def test_pieces_of_sleeve_are_counted(as_fitter: Client, sheet: CalcSheet) -> None:
    """Two for each wire; 2:1 by the sizes of AMS-DTL-23053/5: 1.6/0.8 to 3.2/1.6 mm and so on."""
    text = " ".join(pages(as_fitter, "loom-labels", sheet)[:1])
    counted = re.findall(r"(\d+(?:\.\d)?/\d+(?:\.\d)?) mm\s+(\d+)\s+[\d.]+\s", text)
    assert sum(int(count) for _, count in counted) == 2 * len(sheet.results["cut"])
    three = " ".join(pages(as_fitter, "loom-labels", sheet, "?ratio=3")[:1])
    assert "3:1" in three


def test_other_kinds_of_sheet_have_no_labels(as_fitter: Client, sheet: CalcSheet) -> None:
    CalcSheet.objects.update(kind="tank")
    assert as_fitter.get(reverse("loom-labels", args=[sheet.pk])).status_code == 404


def test_each_cavity_of_each_connector_has_its_wire_or_is_free(as_fitter: Client, sheet: CalcSheet) -> None:
    """Against the typed wire list itself, end by end."""
    page = as_fitter.get(reverse("loom-pin-outs", args=[sheet.pk]))
    ends: dict[str, str] = {}
    for wire in sheet.inputs["wires"]:
        for end in ("start", "end"):
            ends[wire[end]] = wire["label"]
    sizes = {row["label"]: row["size"] for row in sheet.results["cut"]}
    shown = {
        f"{one.name}/{line.cavity}": line for one in page.context["pins"] for line in one.lines if line.cavity
    }
    typed = {
        f"{row['name']}/{cavity}"
        for row in sheet.inputs["places"]
        if row["kind"] == "connector"
        for cavity in row["cavities"].split()
    }
    assert set(shown) == typed
    for pin, line in shown.items():
        assert line.label == ends.get(pin, ""), pin
        if line.label:
            assert line.row.size == sizes[line.label]
            assert {pin, line.other_end} == {line.row.start, line.row.end}
    assert [pin for pin, line in shown.items() if line.is_free] == [f"{sheet.inputs['places'][0]['name']}/99"]
    assert "Viewed from the wire side" in page.content.decode()


def test_splices_and_studs_list_all_their_wires(as_fitter: Client, sheet: CalcSheet) -> None:
    page = as_fitter.get(reverse("loom-pin-outs", args=[sheet.pk]))
    by_name = {one.name: {line.label for line in one.lines} for one in page.context["pins"]}
    for splice in (row["name"] for row in sheet.inputs["places"] if row["kind"] == "splice"):
        wires = {w["label"] for w in sheet.inputs["wires"] if splice in (w["start"], w["end"])}
        assert by_name[splice] == wires


def test_one_connector_alone_and_its_print(as_fitter: Client, sheet: CalcSheet) -> None:
    name = next(row["name"] for row in sheet.inputs["places"] if row["kind"] == "connector")
    page = as_fitter.get(reverse("loom-pin-outs", args=[sheet.pk]), {"connector": name})
    assert [one.name for one in page.context["pins"]] == [name]
    assert (
        "No such connector"
        in as_fitter.get(reverse("loom-pin-outs", args=[sheet.pk]), {"connector": "nothing"}).content.decode()
    )
    text = " ".join(pages(as_fitter, "loom-pin-outs-print", sheet, f"?connector={name}"))
    assert name.upper() in text.upper()
    assert "Viewed from the wire side" in text
    assert len(pages(as_fitter, "loom-pin-outs-print", sheet)) > 3


def test_a_revision_that_todays_rules_refuse_says_so(as_fitter: Client, sheet: CalcSheet) -> None:
    sheet.inputs["places"][0]["kind"] = "gizmo"
    sheet.save()
    answer = as_fitter.get(reverse("loom-pin-outs-print", args=[sheet.pk]), follow=True)
    assert "cannot read this revision any more" in answer.content.decode()


def test_the_board_keeps_every_length_of_the_tape(sheet: CalcSheet) -> None:
    board = board_of(sheet)
    assert board is not None
    typed = {row["name"]: float(row["length_mm"]) for row in sheet.inputs["runs"]}
    assert {run.name: pytest.approx(math.dist(run.start, run.end)) for run in board.runs} == typed
    assert board.left_out == ()


def test_the_scale_is_the_largest_usual_one_that_fits_and_is_kept_on_paper(sheet: CalcSheet) -> None:
    board = board_of(sheet)
    assert board is not None
    view = overview(board)
    n = view["scale"]
    assert float(view["width"]) <= 297 - 2 * 9
    assert float(view["height"]) <= 146
    smaller = max(scale for scale in (1, 2, 5, 10, 15, 20, 25, 30, 40, 50) if scale < n)
    assert board.wide_mm / smaller > 248 or board.high_mm / smaller > 132
    for line, run in zip(view["lines"], board.runs, strict=True):
        ends = [float(line[key]) for key in ("x1", "y1", "x2", "y2")]
        assert math.dist(ends[:2], ends[2:]) * n == pytest.approx(run.length_mm, abs=0.02 * n)


@pytest.mark.parametrize("size", ["a4", "a3"])
def test_in_full_size_no_stretch_of_a_run_is_left_off_and_no_sheet_is_blank(
    sheet: CalcSheet, size: str
) -> None:
    """Each 2 mm along every run looked up apart from the board's own cutting."""
    board, paper = board_of(sheet), PAPERS[size]
    assert board is not None
    printed = set(sheets_of(board, paper))
    passed = set()
    for run in board.runs:
        for number in range(int(run.length_mm // 2) + 1):
            share = 2 * number / run.length_mm
            x, y = (a + share * (b - a) for a, b in zip(run.start, run.end, strict=True))
            passed.add((int(x // paper.wide_mm), int(y // paper.high_mm)))
    assert passed <= printed
    assert len(printed - passed) <= 2  # a corner cut by less than 2 mm
    for page in full_size(board, paper):
        _, _, wide, high = page["view"].split()
        assert (page["width"], page["height"]) == (wide, high)  # a millimetre is a millimetre


def test_the_board_is_printed_as_an_overview_and_in_full_size(as_fitter: Client, sheet: CalcSheet) -> None:
    text = " ".join(pages(as_fitter, "loom-board", sheet))
    for run in sheet.inputs["runs"]:
        assert f"{run['name']} {float(run['length_mm']):.0f}" in text
    assert "Scale 1:" in text
    assert "does not replace the applicable standard" in text
    board = board_of(sheet)
    assert board is not None
    printed = pages(as_fitter, "loom-board", sheet, "?paper=a3")
    assert len(printed) == 1 + len(sheets_of(board, PAPERS["a3"]))
    assert "must measure 100 mm" in printed[0]
    answer = as_fitter.get(reverse("loom-board", args=[sheet.pk]), {"paper": "a3"})
    box = PdfReader(io.BytesIO(answer.content)).pages[1].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((420 / 25.4 * 72, 297 / 25.4 * 72), abs=0.5)


def test_a_board_without_a_run_is_refused(as_fitter: Client, sheet: CalcSheet) -> None:
    sheet.results["runs"] = []
    sheet.save()
    answer = as_fitter.get(reverse("loom-board", args=[sheet.pk]), follow=True)
    assert "nothing to lay on a board" in answer.content.decode()

"""What a loom maker prints: labels, read back from the PDF."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from engineering.models import CalcSheet
from engineering.services import calc_sheet_save
from engineering.sheets.loom_rows import generic_lines


@pytest.fixture
def sheet(tern: Any, make_job: Any, fitter: Any) -> CalcSheet:
    inputs = generic_lines() | {"body_v": 0.1, "least_mm2": 0.5, "tail_mm": 100.0, "loop_mm": 0.0}
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

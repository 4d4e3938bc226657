"""The printed sheet, read back from the PDF."""

import io

import pytest
from django.urls import reverse
from pypdf import PdfReader

from engineering.models import CalcSheet


def _text(answer) -> str:
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    pages = PdfReader(io.BytesIO(answer.content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.fixture
def printed_tank(as_fitter, fuel_job, typed_tank) -> str:
    as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, "tank"]), typed_tank | {"foam": "type_i"})
    return _text(as_fitter.get(reverse("calc-sheet-print", args=[CalcSheet.objects.get().pk])))


def test_a_printed_tank_has_all_that_a_tank_maker_needs(printed_tank):
    for words in (
        "Main fuel tank", "Tern", "Rafe Holloway",  # title block
        "L usable", "Dip chart",  # result
        "604 mm", "Aluminium 5083", "Type I, orange",  # inputs
        "V = length × width × depth", "Usable = brim",  # formula
        "Jones", "MIL-DTL-83054", "API MPMS 11.1",  # source
        "No tilt, no braking", "Up to 5 m long",  # limits
        "Never weld, cut, grind or drill", "INDG314", "Petrol vapour",  # cautions
        "This sheet does not show compliance", "Regulation 34",
    ):  # fmt: skip
        assert words in printed_tank, words


def test_a_printed_circuit_has_all_that_a_wirer_needs(as_fitter, lamp_job, typed_circuit):
    as_fitter.post(reverse("calc-sheet-new", args=[lamp_job.pk, "circuit"]), typed_circuit)
    text = _text(as_fitter.get(reverse("calc-sheet-print", args=[CalcSheet.objects.get().pk])))
    for words in (
        "Headlamp feed", "4 mm² wire, 15 A blade fuse", "3 mm² would drop",
        "9.2 A", "4 m", "60 °C",
        "Drop = I · R20", "IEC 60028", "ISO 6722",
        "direct current only", "Overheated wiring and batteries start fires", "INDG139",
        "This sheet does not show compliance",
    ):  # fmt: skip
        assert words in text, words


def test_an_old_revision_prints_as_it_was_made_and_says_that_it_is_old(as_fitter, fuel_job, typed_tank):
    as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, "tank"]), typed_tank)
    first = CalcSheet.objects.get()
    as_fitter.post(reverse("calc-sheet-revise", args=[first.pk]), typed_tank | {"pickup_mm": "20"})
    text = _text(as_fitter.get(reverse("calc-sheet-print", args=[first.pk])))
    assert "43.20 L usable" in text
    assert "not the newest" in text

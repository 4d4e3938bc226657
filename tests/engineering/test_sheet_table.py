"""The table of a sheet as a file for a spreadsheet."""

import csv
import io

import pytest
from django.urls import reverse

from engineering.models import CalcSheet


@pytest.fixture
def kept_tank(as_fitter, fuel_job, typed_tank) -> CalcSheet:
    as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, "tank"]), typed_tank)
    return CalcSheet.objects.get()


def test_the_dip_chart_of_a_tank(as_fitter, kept_tank):
    """Inside 600 × 400 × 200 mm: 12 L at 50 mm."""
    answer = as_fitter.get(reverse("calc-sheet-table", args=[kept_tank.pk]))
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert "revision-1.csv" in answer["Content-Disposition"]
    text = answer.content.decode("utf-8-sig")
    lines = list(csv.reader(io.StringIO(text)))
    assert lines[0] == ["depth mm", "litres", "imperial gallons", "US gallons", "% of brim"]
    assert lines[2] == ["50", "12.00", "2.64", "3.17", "25.0"]
    assert lines[-1] == ["200", "48.00", "10.56", "12.68", "100.0"]


def test_its_page_offers_the_table(as_fitter, kept_tank):
    page = as_fitter.get(reverse("calc-sheet", args=[kept_tank.pk])).content.decode()
    assert reverse("calc-sheet-table", args=[kept_tank.pk]) in page


def test_a_kind_without_a_table_has_none(as_fitter, lamp_job, typed_circuit):
    as_fitter.post(reverse("calc-sheet-new", args=[lamp_job.pk, "circuit"]), typed_circuit)
    sheet = CalcSheet.objects.get()
    address = reverse("calc-sheet-table", args=[sheet.pk])
    assert as_fitter.get(address).status_code == 404
    assert address not in as_fitter.get(reverse("calc-sheet", args=[sheet.pk])).content.decode()


def test_nobody_else_may(client, kept_tank, as_fitter):
    as_fitter.logout()
    assert as_fitter.get(reverse("calc-sheet-table", args=[kept_tank.pk])).status_code == 302

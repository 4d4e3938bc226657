"""The export of everything: every table and field, nothing secret, nothing that runs."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.utils import timezone
from openpyxl import load_workbook

from builds.exporting.files import csv_bytes, workbook_bytes, zip_bytes
from builds.exporting.sheets import KEPT_BACK, OUR_APPS, ExportSheet, every_table
from builds.importing.cells import guarded
from builds.models import Car, Customer, JobNote, Person, TableStamp
from builds.services.start import car_start_from_template
from parts.models import Supplier

RISKY_TEXTS = [
    "=1+1",
    "=cmd|' /C calc'!A0",
    "+44 1632 960 114",
    "-2+3",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    "＝1+1",
    "'=1+1",
    "#REF!",
    "<b>bold</b>",
]


def _sheet(texts: list[Any]) -> ExportSheet:
    return ExportSheet("Texts", ["text"], [[text] for text in texts])


def test_no_cell_of_a_workbook_is_a_formula() -> None:
    book = load_workbook(io.BytesIO(workbook_bytes([_sheet(RISKY_TEXTS)])))
    cells = [row[0] for row in book["Texts"].iter_rows(min_row=2)]
    assert {cell.data_type for cell in cells} == {"s"}
    # a bare carriage return is read as a line feed, as XML 1.0, 2.11 has it
    assert [cell.value.replace("\r", "\n") for cell in cells] == [
        text.replace("\r", "\n") for text in RISKY_TEXTS
    ]


def test_a_risky_text_stays_text_when_it_is_edited() -> None:
    book = load_workbook(io.BytesIO(workbook_bytes([_sheet(["=1+1", "plain"])])))
    assert [row[0].quotePrefix for row in book["Texts"].iter_rows(min_row=2)] == [True, False]


def test_no_cell_of_a_csv_file_begins_like_a_formula() -> None:
    rows = list(csv.reader(io.StringIO(csv_bytes(_sheet(RISKY_TEXTS)).decode("utf-8-sig"), newline="")))
    for row, text in zip(rows[1:], RISKY_TEXTS, strict=True):
        assert row[0][:1] not in ("=", "+", "-", "@", "\t", "\r", "\n", "＝")
        assert row[0].lstrip("'") == text.lstrip("'")


def test_dates_are_iso_and_numbers_are_numbers() -> None:
    moment = timezone.make_aware(datetime(2027, 3, 12, 14, 5))
    sheet = _sheet([date(2027, 3, 12), moment, Decimal("2.50"), 7, True, None])
    texts = csv_bytes(sheet).decode("utf-8-sig").split()
    assert texts == ["text", "2027-03-12", "2027-03-12T14:05+00:00", "2.50", "7", "yes", '""']
    page = load_workbook(io.BytesIO(workbook_bytes([sheet])))["Texts"]
    cells = [row[0] for row in page.iter_rows(min_row=2)]
    assert [cell.value for cell in cells[:5]] == [
        datetime(2027, 3, 12),
        datetime(2027, 3, 12, 14, 5),
        2.5,
        7,
        "yes",
    ]
    assert [cell.number_format for cell in cells[:2]] == ["yyyy-mm-dd", "yyyy-mm-dd hh:mm"]


def test_signs_that_no_workbook_may_hold_are_replaced() -> None:
    book = load_workbook(io.BytesIO(workbook_bytes([_sheet(["a\x07b"])])))
    assert book["Texts"]["A2"].value == "a\N{REPLACEMENT CHARACTER}b"


def test_every_table_and_every_field_is_handed_out(workshop: Any) -> None:
    tables = {sheet.name: sheet.headings for sheet in every_table()}
    models = [model for label in OUR_APPS for model in apps.get_app_config(label).get_models()]
    models.remove(TableStamp)
    assert len(tables) == len(models)
    for model in models:
        headings = next(
            headings
            for name, headings in tables.items()
            if name.lower() == str(model._meta.verbose_name_plural).lower()[:31]
        )
        for field in model._meta.concrete_fields:
            if field.name not in KEPT_BACK:
                assert ("number" if field.primary_key else str(field.verbose_name)) in headings


def test_rows_carry_the_names_of_what_they_point_at(
    tern: Car, make_job: Callable[..., Any], manager: Person
) -> None:
    tern.customer = Customer.objects.create(name="Ada Wren", phone="+44 1632 960 001")
    tern.save()
    job = make_job(tern, "Bleed", started_at=timezone.now(), started_by=manager)
    JobNote.objects.create(job=job, by=manager, at=timezone.now(), text="Fins bent")
    sheets = {
        sheet.name: [dict(zip(sheet.headings, row, strict=True)) for row in sheet.rows]
        for sheet in every_table()
    }
    assert sheets["Cars"][0]["customer"] == "Ada Wren"
    assert sheets["Customers"][0]["phone"] == "+44 1632 960 001"
    assert (sheets["Jobs"][0]["car"], sheets["Jobs"][0]["place"]) == ("Tern", "on the car")
    assert sheets["Job notes"][0] | {"at": None} == {
        "number": sheets["Job notes"][0]["number"],
        "job": "Bleed",
        "job, number": job.pk,
        "by": "Maud Ellery",
        "by, number": manager.pk,
        "at": None,
        "text": "Fins bent",
    }


def test_no_secret_is_handed_out(tern: Car, manager: Person, fitter: Person) -> None:
    everything = zip_bytes(every_table())
    with zipfile.ZipFile(io.BytesIO(everything)) as archive:
        text = "".join(archive.read(name).decode("utf-8-sig") for name in archive.namelist())
    assert "Rafe Holloway" in text
    for person in (manager, fitter):
        assert person.password not in text
        assert person.password.split("$")[-1] not in text


def test_the_number_of_queries_does_not_grow_with_the_rows(
    workshop: Any, manager: Person, django_assert_max_num_queries: Any
) -> None:
    """One for the rows of each table, one for its names, one for each of its lists."""
    for name in ("Gannet", "Skua"):
        car_start_from_template(name=name, description="", by=manager, today=timezone.localdate())
    with django_assert_max_num_queries(80):
        workbook_bytes(every_table())


@pytest.mark.parametrize("text", RISKY_TEXTS[:9])
def test_a_risky_name_of_a_supplier_is_guarded(db: None, text: str) -> None:
    Supplier.objects.create(name=text)
    with zipfile.ZipFile(io.BytesIO(zip_bytes(every_table()))) as archive:
        content = archive.read("suppliers.csv").decode("utf-8-sig")
    [row] = csv.DictReader(io.StringIO(content, newline=""))
    assert row["name"] == guarded(text)

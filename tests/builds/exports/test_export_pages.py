"""Downloads for managers."""

import io
import zipfile
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook

from builds.models import Car, Customer


def test_the_page_offers_everything_and_each_car(as_manager: Client, tern: Car) -> None:
    page = as_manager.get(reverse("export")).content.decode()
    for address in (
        reverse("export-workbook"),
        reverse("export-csv"),
        reverse("export-car", args=[tern.pk]),
    ):
        assert f'href="{address}"' in page


def test_one_workbook_with_a_sheet_for_each_thing(
    as_manager: Client, tern: Car, make_job: Callable[..., Any]
) -> None:
    make_job(tern, "=1+1")
    answer = as_manager.get(reverse("export-workbook"))
    assert answer["Content-Disposition"].endswith('.xlsx"')
    book = load_workbook(io.BytesIO(answer.getvalue()))
    assert book.sheetnames[:2] == ["Job lists", "Parts lists"]
    assert {"Cars", "Jobs", "Parts", "Suppliers", "Customers"} <= set(book.sheetnames)
    assert len(set(book.sheetnames)) == len(book.sheetnames)
    title = book["Job lists"]["B2"]
    assert (title.value, title.data_type, title.quotePrefix) == ("=1+1", "s", True)


def test_csv_files_in_a_zip(as_manager: Client, tern: Car) -> None:
    answer = as_manager.get(reverse("export-csv"))
    with zipfile.ZipFile(io.BytesIO(answer.getvalue())) as archive:
        assert {"job-lists.csv", "cars.csv"} <= set(archive.namelist())
        assert b"Tern" in archive.read("cars.csv")


def test_the_lists_of_one_car_hold_no_customer(as_manager: Client, tern: Car, skua: Car) -> None:
    tern.customer = Customer.objects.create(name="Ada Wren")
    tern.save()
    answer = as_manager.get(reverse("export-car", args=[tern.pk]))
    book = load_workbook(io.BytesIO(answer.getvalue()))
    texts = {str(cell) for sheet in book for row in sheet.iter_rows(values_only=True) for cell in row}
    assert "Ada Wren" not in texts
    assert book.sheetnames == ["Job lists", "Parts lists"]


def test_an_empty_workshop_can_be_exported(as_manager: Client, workshop: Any) -> None:
    assert as_manager.get(reverse("export-workbook")).status_code == 200
    assert "No car is here yet" in as_manager.get(reverse("export")).content.decode()


@pytest.mark.parametrize("name", ["export", "export-workbook", "export-csv"])
def test_a_fitter_may_not(as_fitter: Client, workshop: Any, name: str) -> None:
    assert as_fitter.get(reverse(name)).status_code == 403


def test_a_fitter_may_not_take_a_cars_lists(as_fitter: Client, tern: Car) -> None:
    assert as_fitter.get(reverse("export-car", args=[tern.pk])).status_code == 403

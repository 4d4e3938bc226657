"""Finding cars, jobs, parts, suppliers and, for managers, customers."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from builds.models import Customer
from builds.sheets import finding as finding
from parts.models import Part, Supplier


def found(text: str, *, with_customers: bool = True) -> dict[str, list[str]]:
    """Names by kind, empty kinds left out."""
    findings = finding.find(text, with_customers=with_customers)
    kinds = {
        "cars": findings.cars,
        "jobs": findings.jobs,
        "parts": findings.parts,
        "suppliers": findings.suppliers,
        "customers": findings.customers,
    }
    return {kind: [str(row) for row in rows.rows] for kind, rows in kinds.items() if rows and rows.rows}


@pytest.fixture
def stock(
    tern: Any,
    skua: Any,
    plater: Any,
    process: Callable[..., Any],
    make_job: Callable[..., Any],
    make_part: Callable[..., Any],
) -> None:
    """Two cars with a radiator each, and the customer of one."""
    tern.customer = Customer.objects.create(name="Harriet Vane-Osgood", phone="01632 960 001")
    tern.save()
    plater.processes.add(process("zinc_plate"), process("supply"))
    make_job(tern, "Fit the radiator")
    make_job(skua, "Fit the radiator hoses")
    make_part(tern, "Radiator", drawing_number="T-014")
    make_part(skua, "Radiator bracket, left")


pytestmark = pytest.mark.usefixtures("stock")


@pytest.mark.parametrize("text", ["radiator tern", "TERN Radiator", "  tern\tradi "])
def test_words_in_any_order_and_case_must_all_be_there(text: str) -> None:
    assert found(text) == {"jobs": ["Fit the radiator"], "parts": ["Radiator"]}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("fastback", {"cars": ["Tern"]}),
        ("t-014", {"parts": ["Radiator"]}),
        ("ferrand", {"suppliers": ["Ferrand Plating"]}),
        ("zinc", {"suppliers": ["Ferrand Plating"]}),
        ("cooling hoses", {"jobs": ["Fit the radiator hoses"]}),
        ("vane", {"customers": ["Harriet Vane-Osgood"]}),
        ("960 001", {"customers": ["Harriet Vane-Osgood"]}),
        ("carburettor", {}),
        ("%", {}),
        ("_", {}),
        ("'; DROP TABLE", {}),
    ],
)
def test_each_thing_is_found_by_its_own_words(text: str, expected: dict[str, list[str]]) -> None:
    assert found(text) == expected


def test_letters_beyond_a_to_z_are_found_in_either_case() -> None:
    Supplier.objects.create(name="Øster Élan")
    assert found("øster élan") == found("ØSTER ÉLAN") == {"suppliers": ["Øster Élan"]}


def test_a_supplier_with_several_processes_is_found_once() -> None:
    assert found("p")["suppliers"] == ["Ferrand Plating"]


def test_open_jobs_come_before_done_ones(skua: Any, fitter: Any, make_job: Callable[..., Any]) -> None:
    make_job(skua, "A radiator job done", done_at=timezone.now(), done_by=fitter)
    assert found("radiator")["jobs"] == ["Fit the radiator hoses", "Fit the radiator", "A radiator job done"]


def test_no_more_than_fifty_of_a_kind_and_the_page_says_so(as_fitter: Client, tern: Any) -> None:
    Part.objects.bulk_create(Part(car=tern, name=f"Washer {number}") for number in range(51))
    parts = finding.find("washer", with_customers=False).parts
    assert (len(parts.rows), parts.is_cut) == (50, True)
    assert "Only the first 50 are shown" in as_fitter.get("/search/?q=washer").content.decode()
    Part.objects.filter(name="Washer 0").delete()
    parts = finding.find("washer", with_customers=False).parts
    assert (len(parts.rows), parts.is_cut) == (50, False)


def test_the_number_of_queries_is_fixed(tern: Any, django_assert_num_queries: Callable[..., Any]) -> None:
    Part.objects.bulk_create(Part(car=tern, name=f"Washer {number}") for number in range(40))
    for text in ("radiator", "washer", "e"):
        # cars, jobs, parts, suppliers and customers, and where any were found their processes and cars
        with django_assert_num_queries(7 if text == "e" else 5):
            finding.find(text, with_customers=True)


def test_customers_are_found_for_managers_only(as_manager: Client, as_fitter: Client) -> None:
    assert "Harriet Vane-Osgood" in as_manager.get("/search/?q=vane").content.decode()
    for words in ("vane", "tern", "960 001", "harriet radiator"):
        page = as_fitter.get("/search/", {"q": words}).content.decode()
        assert "Harriet" not in page.replace(f'value="{words}"', "")
        assert "Customers" not in page
    assert "Nothing has all of those words" in as_fitter.get("/search/?q=vane").content.decode()


def test_an_empty_search_asks_for_a_word(as_fitter: Client) -> None:
    assert "Type a word first." in as_fitter.get("/search/?q=+").content.decode()
    assert "Type a word first." not in as_fitter.get("/search/").content.decode()


@pytest.mark.parametrize("text", ["x" * 81, "radiator\x00"])
def test_what_is_too_long_or_broken_is_refused(as_fitter: Client, text: str) -> None:
    answer = as_fitter.get("/search/", {"q": text})
    assert answer.status_code == 200
    assert 'class="errorlist"' in answer.content.decode()


def test_many_words_do_not_make_a_huge_question(as_fitter: Client) -> None:
    assert as_fitter.get("/search/", {"q": "é " * 40}).status_code == 200


def test_html_is_shown_as_typed(as_manager: Client, tern: Any) -> None:
    Part.objects.create(car=tern, name="<i>washer</i>")
    page = as_manager.get("/search/", {"q": "<i>washer</i>"}).content.decode()
    assert "<i>washer" not in page
    assert "&lt;i&gt;washer&lt;/i&gt;" in page

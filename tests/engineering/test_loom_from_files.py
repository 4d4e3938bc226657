"""The tables of a loom from files: understood whole, or named by file, sheet, row and column."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from openpyxl import Workbook, load_workbook

from engineering.models import CalcSheet
from engineering.sheets.loom_files import TITLES, workbook_of
from engineering.sheets.loom_rows import generic_lines
from engineering.sheets.loom_tables import TABLES
from tests.engineering.looms_typed import typed_pump

SETTINGS = (
    "title", "system_v", "series", "insulation", "return_path", "body_v", "least_mm2", "tail_mm", "loop_mm",
)  # fmt: skip
PUMP: dict[str, list[list[object]]] = {
    "Joints and runs": [
        ["Loom of the Tern, measured"],
        [],
        ["Run", "From", "To", "Length (m)", "Hottest"],
        ["R", "aft", "fore", 3.2004, "30 °C"],
    ],
    "Connectors": [["Connector", "Joint", "Tail"], ["F", "aft", None], ["P", "fore", "15 cm"]],
    "Pins": [["Connector", "Cavity", "Contact takes"], ["F", 1], ["P", "+", "6 mm²"], ["P", "-", "6 mm²"]],
    "Supplies": [["Supply", "Joint"], ["BAT+", "aft"]],
    "Grounds": [["Ground", "Joint", "Kind"], ["BAT-", "aft", "battery minus"]],
    "Loads": [["Load", "Feed", "Return", "Current", "Class", "Remark"],
              ["Pump", "P/+", "P/-", "10A", None, "old"]],
    "Fuses": [["Fuse", "In", "Out", "Rating"], ["F1", "BAT+", "F/1", None]],
    "Wires": [
        ["Label", "From", "From cavity", "To", "To cavity", "Colour", "Least size"],
        ["out", "F", 1, "P", "+", "N", "2,5 mm²"],
        ["back", "P", "-", "BAT-", None, "B", "2,5 mm2"],
    ],
}  # fmt: skip


def workbook(sheets: dict[str, list[list[object]]]) -> Workbook:
    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    return book


def content(book: Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def upload(name: str, data: bytes) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data)


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Build the loom")


@pytest.fixture
def post(as_fitter: Client, job: Any) -> Any:
    """Send files with the settings of the pump; `act` is "try" or "new"."""

    def send(*files: SimpleUploadedFile, act: str = "try", **cells: str) -> Any:
        sent = {name: typed_pump()[name] for name in SETTINGS} | {"series": "metric"} | cells
        return as_fitter.post(
            reverse(f"calc-sheet-{act}", args=[job.pk, "loom"]), sent | {"table_files": list(files)}
        )

    return send


def refusals(answer: Any) -> str:
    return " | ".join(answer.context["form"].errors.get("table_files", []))


def typed_in(answer: Any, table: str) -> list[dict[str, str]]:
    form = answer.context["form"]
    rows: list[dict[str, str]] = form.fields[table].widget.value_from_datadict(form.data, {}, table)
    return rows


def test_a_workbook_of_several_lists_with_units_in_its_numbers_is_understood(post: Any) -> None:
    answer = post(upload("pump.xlsx", content(workbook(PUMP))))
    assert answer.context["form"].errors == {}
    assert answer.context["shown"]["faults"] == []
    cut = {row["label"]: row["cut"] for row in answer.context["shown"]["cut"]}
    assert cut == {"out": "3360", "back": "3360"}  # 3200.4 mm by the tape and 150 of tail, up to 10 mm
    assert typed_in(answer, "runs")[0]["length_mm"] == "3.2004 m"
    assert (
        typed_in(answer, "wires")[0] | {"start": "F/1", "end": "P/+", "least_mm2": "2,5"}
        == typed_in(answer, "wires")[0]
    )
    assert "columns not read: Remark" in answer.content.decode()


def test_the_same_from_a_csv_file_for_each_list(post: Any) -> None:
    files = []
    for name, rows in PUMP.items():
        text = io.StringIO()
        csv.writer(text, delimiter=";").writerows([["" if c is None else c for c in row] for row in rows])
        files.append(upload(f"{name.lower()}.csv", ("\ufeff" + text.getvalue()).encode()))
    answer = post(*files)
    assert answer.context["form"].errors == {}
    assert answer.context["shown"]["faults"] == []
    assert {wire["label"] for wire in answer.context["shown"]["wires"]} == {"out", "back"}


def test_nothing_is_kept_before_the_tables_were_read(post: Any, as_fitter: Client, job: Any) -> None:
    answer = post(upload("pump.xlsx", content(workbook(PUMP))), act="new")
    assert answer.status_code == 200
    assert not CalcSheet.objects.exists()
    assert "Not kept yet: read the tables first" in answer.content.decode()
    form = answer.context["form"]
    again = {key: value for key, value in form.data.items() if key != "table_files"}
    as_fitter.post(reverse("calc-sheet-new", args=[job.pk, "loom"]), again)
    assert CalcSheet.objects.get().results["listed"] == 2
    assert "table_files" not in CalcSheet.objects.get().inputs


def test_a_table_that_no_file_holds_stays_as_it_was_typed(as_fitter: Client, job: Any) -> None:
    runs = upload("runs.csv", b"Run,From,To,Length\nR,aft,fore,2.5 m\n")
    answer = as_fitter.post(
        reverse("calc-sheet-try", args=[job.pk, "loom"]), typed_pump() | {"table_files": [runs]}
    )
    assert typed_in(answer, "runs")[0]["length_mm"] == "2.5 m"
    assert [row["label"] for row in typed_in(answer, "wires")] == ["out", "back"]
    assert answer.context["shown"]["cut"][0]["cut"] == "2500"


def test_our_own_workbook_comes_back_as_it_went(as_fitter: Client, job: Any) -> None:
    address = reverse("loom-workbook-new", args=[job.pk]) + "?from=generic"
    sent = as_fitter.get(address)
    assert [sheet.title for sheet in load_workbook(io.BytesIO(sent.content)).worksheets] == list(
        TITLES.values()
    )
    answer = as_fitter.post(
        reverse("calc-sheet-try", args=[job.pk, "loom"]),
        {name: typed_pump()[name] for name in SETTINGS} | {"table_files": [upload("car.xlsx", sent.content)]},
    )
    given = generic_lines()
    for table in TABLES:
        assert typed_in(answer, table) == given[table], table


def test_an_empty_workbook_of_ours_has_headings_and_is_told_from_a_full_one(
    post: Any, as_fitter: Client, job: Any
) -> None:
    empty = as_fitter.get(reverse("loom-workbook-new", args=[job.pk])).content
    sheet = load_workbook(io.BytesIO(empty))["Wires"]
    assert [cell.value for cell in sheet[1]] == [column.heading for column in TABLES["wires"]]
    assert "No table of a loom was found" in refusals(post(upload("empty.xlsx", empty)))


def test_a_kept_sheet_goes_out_and_comes_back(as_fitter: Client, job: Any) -> None:
    as_fitter.post(reverse("calc-sheet-new", args=[job.pk, "loom"]), typed_pump())
    kept = CalcSheet.objects.get()
    book = as_fitter.get(reverse("loom-workbook", args=[kept.pk]))
    page = as_fitter.post(
        reverse("calc-sheet-revise-try", args=[kept.pk]),
        typed_pump() | {"table_files": [upload("x.xlsx", book.content)]},
    )
    assert typed_in(page, "wires") == kept.inputs["wires"]
    assert as_fitter.get(reverse("loom-workbook", args=[kept.pk + 1])).status_code == 404
    assert as_fitter.get(reverse("loom-workbook-new", args=[job.pk + 1000])).status_code == 404


def test_no_cell_of_ours_is_a_formula_and_no_label_a_number() -> None:
    lines = [{"label": "=1+1", "start": "A/1", "end": "B/1"}, {"label": "1.10", "start": "A/2", "end": "B/2"}]
    sheet = load_workbook(io.BytesIO(workbook_of({"wires": lines})))["Wires"]
    assert [(sheet.cell(n, 1).value, sheet.cell(n, 1).data_type) for n in (2, 3)] == [
        ("=1+1", "s"),
        ("1.10", "s"),
    ]


def test_cells_merged_down_stand_in_each_of_their_rows(post: Any) -> None:
    """As a spreadsheet shows it: one name beside several cavities."""
    book = workbook(PUMP)
    book["Pins"]["A4"] = None
    book["Pins"].merge_cells("A3:A4")
    book["Pins"]["A3"] = "P"
    answer = post(upload("merged.xlsx", content(book)))
    assert answer.context["form"].errors == {}
    assert [row["cavities"] for row in typed_in(answer, "places") if row["name"] == "P"] == ["+ -"]


def test_labels_merged_down_are_named_by_row(post: Any) -> None:
    book = workbook(PUMP)
    book["Wires"].merge_cells("A2:A3")
    answer = post(upload("merged.xlsx", content(book)))
    assert "merged.xlsx, sheet “Wires”, row 3, Label: out stands already in row 2" in refusals(answer)
    assert "part merged cells" in refusals(answer)
    assert typed_in(answer, "wires") == []


@pytest.mark.parametrize(
    ("sheet", "cell", "value", "words"),
    [
        ("Joints and runs", "D4", "three", "pump.xlsx, sheet “Joints and runs”, row 4, Length: “three”"),
        ("Joints and runs", "D4", "1,250", "row 4, Length: “1,250” can be read two ways"),
        ("Joints and runs", "D4", None, "row 4, Length: is empty"),
        ("Joints and runs", "D4", True, "row 4, Length: holds yes or no"),
        ("Joints and runs", "E4", "30 A", "row 4, Temperature: “30 A” is in A"),
        ("Loads", "D2", "ten", "sheet “Loads”, row 2, Current: “ten” is not a figure"),
        ("Loads", "D2", "nan", "row 2, Current: “nan” is not a figure"),
        ("Loads", "E2", "vital", "row 2, Class: class “vital” is not known"),
        ("Wires", "A2", date(2026, 2, 1), "sheet “Wires”, row 2, Label: holds a date"),
        ("Wires", "G2", "2,5 mm", "row 2, Least size: “2,5 mm” is a diameter or a trade name"),
        ("Wires", "A3", None, "row 3, Label: is empty"),
        ("Wires", "A1", "Nr", "sheet “Wires”: no row of headings was found"),
        ("Wires", "F1", "Label", "row 1, Label: two columns have this heading"),
        ("Connectors", "B2", None, "Connector F: no line says at which joint it sits"),
        ("Grounds", "C2", "roof", "sheet “Grounds”, row 2, What it is: “roof” is not known"),
    ],
)  # fmt: skip
def test_a_cell_that_is_not_understood_is_named_and_nothing_is_taken(
    post: Any, sheet: str, cell: str, value: object, words: str
) -> None:
    book = workbook(PUMP)
    book[sheet][cell] = value
    answer = post(upload("pump.xlsx", content(book)))
    assert words in refusals(answer)
    assert all(typed_in(answer, table) == [] for table in TABLES)
    assert not CalcSheet.objects.exists()


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("a.xlsx", b"", "a.xlsx: the file is empty"),
        ("a.xls", b"\xd0\xcf\x11\xe0rest", "an old XLS workbook"),
        ("a.xlsx", b"PK\x03\x04 nothing", "the workbook is broken"),
        ("a.csv", b"GIF89a\x00\x01", "this is no table"),
        ("a.csv", b"x" * (2 * 1024 * 1024 + 1), "larger than 2 MB"),
        ("notes.csv", b"one,two\n1,2\n", "No table of a loom was found"),
    ],
)
def test_a_file_that_is_no_table_is_refused_in_words(post: Any, name: str, data: bytes, words: str) -> None:
    assert words in refusals(post(upload(name, data)))


def test_a_formula_without_its_value_is_no_empty_cell(post: Any) -> None:
    book = workbook(PUMP)
    book["Joints and runs"]["D4"] = "=1+2"
    answer = post(upload("pump.xlsx", content(book)))
    assert "sheet “Joints and runs”, row 4, column D: a formula that was never worked out" in refusals(answer)


def test_more_lines_than_a_table_takes_are_refused(post: Any) -> None:
    lines = "\n".join(f"R{n},a,b,100" for n in range(201))
    answer = post(upload("runs.csv", f"Run,From,To,Length\n{lines}\n".encode()))
    assert "more than 200 lines" in " ".join(answer.context["form"].errors["runs"])

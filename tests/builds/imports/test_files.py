"""What a file may be, and what is refused in words and at once."""

from __future__ import annotations

import io
import random
import time
import zipfile
from collections.abc import Callable
from datetime import date, datetime
from datetime import time as clock
from decimal import Decimal
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook
from PIL import Image

from builds.importing.columns import JOB_COLUMNS
from builds.importing.faults import FileRefused
from builds.importing.headings import table_find
from builds.importing.tables import sheets_of
from builds.models import Area, Car

HEAD = ["area", "title", "hours"]


def _cells(content: bytes) -> list[dict[str, object]]:
    table = table_find(sheets_of(content), JOB_COLUMNS)
    assert table is not None
    return [dict(record.cells) for record in table.records]


def test_a_workbook_is_read_by_value(workbook: Callable[..., bytes]) -> None:
    content = workbook([HEAD, ["cooling", "Bleed", 2.5], ["cooling", "Fill", "2,5 h"]])
    assert _cells(content) == [
        {"area": "cooling", "title": "Bleed", "hours likely": 2.5},
        {"area": "cooling", "title": "Fill", "hours likely": "2,5 h"},
    ]


def test_a_cell_merged_down_counts_for_each_row(workbook: Callable[..., bytes]) -> None:
    content = workbook(
        [
            ["Job list of Tern"],
            [],
            HEAD,
            ["cooling", "A", 1],
            [None, "B", 2],
            [None, "C", 3],
            ["oil", "D", 4],
        ],
        merge=["A1:C1", "A4:A6"],
    )
    assert [(row["area"], row["title"]) for row in _cells(content)] == [
        ("cooling", "A"),
        ("cooling", "B"),
        ("cooling", "C"),
        ("oil", "D"),
    ]


def test_rows_are_numbered_as_the_spreadsheet_shows_them(
    tern: Car, area: Area, preview: Callable[..., Any], workbook: Callable[..., bytes]
) -> None:
    content = workbook(
        [["Job list"], [], HEAD, [], ["cooling", "A", "x"], [None, None, None], ["cooling", "", 1]]
    )
    plan = preview(tern, jobs=content)
    assert [(fault.row, fault.column) for fault in plan.faults] == [(5, "hours likely"), (7, "title")]


def test_rows_of_a_csv_with_cells_over_several_lines_are_numbered_alike(
    tern: Car, area: Area, preview: Callable[..., Any]
) -> None:
    content = 'area,title,hours,note\ncooling,A,1,"one\ntwo\nthree"\n\ncooling,B,x,\n'
    assert [fault.row for fault in preview(tern, jobs=content).faults] == [4]


def test_times_and_dates_in_number_columns(
    tern: Car, area: Area, preview: Callable[..., Any], workbook: Callable[..., bytes]
) -> None:
    plan = preview(tern, jobs=workbook([HEAD, ["cooling", "A", clock(2, 30)]]))
    assert plan.jobs[0].hours[1] == Decimal("2.5")
    plan = preview(tern, jobs=workbook([HEAD, ["cooling", "A", datetime(2026, 5, 2)]]))
    assert "the spreadsheet has turned the number into one" in str(plan.faults[0])


def _with_formula(*, value: str | None) -> bytes:
    """A workbook whose only hours are a formula, with or without the value it was last worked out to."""
    book = Workbook()
    sheet = book.active
    for row in (HEAD, ["cooling", "A", "=1+1.5"]):
        sheet.append(row)
    plain = io.BytesIO()
    book.save(plain)
    if value is None:
        return plain.getvalue()
    return _changed(plain.getvalue(), b"<v />", f"<v>{value}</v>".encode(), "xl/worksheets/sheet1.xml")


def _changed(content: bytes, old: bytes, new: bytes, member: str) -> bytes:
    """The same workbook with one of its files changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as archive, zipfile.ZipFile(out, "w") as copy:
        for name in archive.namelist():
            data = archive.read(name)
            if name == member:
                assert old in data, data
                data = data.replace(old, new)
            copy.writestr(name, data)
    return out.getvalue()


def test_a_formula_counts_by_its_value(tern: Car, area: Area, preview: Callable[..., Any]) -> None:
    plan = preview(tern, jobs=_with_formula(value="2.5"))
    assert (plan.faults, plan.jobs[0].hours[1]) == ([], Decimal("2.5"))


def test_a_formula_that_was_never_worked_out_is_no_empty_cell(
    tern: Car, area: Area, preview: Callable[..., Any]
) -> None:
    [fault] = preview(tern, jobs=_with_formula(value=None)).faults
    assert str(fault).startswith(
        "Job list, row 2, hours likely: holds a formula that was never worked out: open the file"
    )


def test_a_spreadsheets_own_error_is_no_value(
    tern: Car, area: Area, preview: Callable[..., Any], workbook: Callable[..., bytes]
) -> None:
    plan = preview(tern, jobs=workbook([HEAD, ["cooling", "#REF!", 1]]))
    assert "title: holds the spreadsheet’s own error #REF!" in str(plan.faults[0])


def test_a_hidden_sheet_is_not_read() -> None:
    book = Workbook()
    book.active.append(["notes"])
    hidden = book.create_sheet("old")
    hidden.append(HEAD)
    hidden.sheet_state = "hidden"
    file = io.BytesIO()
    book.save(file)
    assert table_find(sheets_of(file.getvalue()), JOB_COLUMNS) is None


def test_one_workbook_may_hold_both_lists(tern: Car, area: Area, preview: Callable[..., Any]) -> None:
    book = Workbook()
    book.active.append(HEAD)
    book.active.append(["cooling", "A", 1])
    parts = book.create_sheet("Parts")
    parts.append(["part", "quantity"])
    parts.append(["Horn", 2])
    file = io.BytesIO()
    book.save(file)
    plan = preview(tern, jobs=file.getvalue())
    assert ([job.title for job in plan.jobs], [part.name for part in plan.parts]) == (["A"], ["Horn"])


def test_a_number_that_is_a_date_stays_a_date_in_words(
    tern: Car, area: Area, preview: Callable[..., Any], workbook: Callable[..., bytes]
) -> None:
    plan = preview(tern, jobs=workbook([HEAD, ["cooling", date(2026, 3, 12), 1]]))
    assert plan.jobs[0].title == "2026-03-12"


def _picture() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "grey").save(file, "PNG")
    return file.getvalue()


def _zip(**members: bytes) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name.replace("__", "/"), data)
    return file.getvalue()


REFUSED = [
    ("nothing", b"", "The file is empty"),
    ("blank", b" \r\n \n", "The file is empty"),
    ("a picture", _picture(), "does not look like a list"),
    ("rubbish", random.Random(1).randbytes(1_000_000), "does not look like a list"),
    ("ten megabytes", random.Random(2).randbytes(10_000_000), "larger than 5 MB"),
    ("a zip of something else", _zip(letter=b"hello"), "no XLSX workbook"),
    ("half a workbook", _with_formula(value="1")[:1500], "cannot be read"),
    ("an old workbook", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "of the old kind"),
    ("a workbook without sheets", _zip(**{"xl__workbook.xml": b"<nothing/>"}), "cannot be read"),
    ("too many rows", b"area,title\n" + b"a,b\n" * 5021, "more than 5,000 rows"),
    ("a few too many rows", b"area,title\n" + b"a,b\n" * 5001, "more than 5,000 rows"),
    ("too many columns", b"area,title" + b"," * 80 + b"\n", "more than 60 columns"),
    ("a cell without an end", b'area,title\ncooling,"' + b"x" * 300_000, "cannot be read as CSV"),
    ("a heading twice", b"area,title,job\nx,y,z\n", "two columns are headed “title”"),
    ("another unit", b"area,title,hours likely (days)\nx,y,z\n", "is read in h"),
]


@pytest.mark.parametrize(
    ("content", "words"), [case[1:] for case in REFUSED], ids=[case[0] for case in REFUSED]
)
def test_what_is_no_list_is_refused_in_words_and_quickly(content: bytes, words: str) -> None:
    began = time.process_time()
    with pytest.raises(FileRefused, match=words):
        table_find(sheets_of(content), JOB_COLUMNS)
    assert time.process_time() - began < 2


def test_a_file_without_the_headings_says_what_it_found(tern: Car, preview: Callable[..., Any]) -> None:
    with pytest.raises(FileRefused, match=r"“area” and “title” was found\. The first row says: x, y\."):
        preview(tern, jobs=b"x,y\n1,2\n")


def test_a_bomb_is_refused_before_it_is_unpacked(workbook: Callable[..., bytes]) -> None:
    """Fifty gigabytes of spaces would pack into the five megabytes that a file may have."""
    bomb = _changed(
        workbook([HEAD]), b"<sheetData>", b"<sheetData>" + b" " * 60_000_000, "xl/worksheets/sheet1.xml"
    )
    packed = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(bomb)) as archive,
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as copy,
    ):
        for name in archive.namelist():
            copy.writestr(name, archive.read(name))
    assert len(packed.getvalue()) < 5_000_000
    began = time.process_time()
    with pytest.raises(FileRefused, match="unpacks to far more"):
        sheets_of(packed.getvalue())
    assert time.process_time() - began < 0.5


def test_entities_that_multiply_are_refused(workbook: Callable[..., bytes]) -> None:
    entities = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    document = f'<!DOCTYPE x [<!ENTITY a0 "ha">{entities}]><sheetData>&a9;'
    bomb = _changed(workbook([HEAD]), b"<sheetData>", document.encode(), "xl/worksheets/sheet1.xml")
    head = _changed(
        workbook([HEAD]),
        b"<workbook ",
        document[: document.index("<sheetData>")].encode() + b"<workbook ",
        "xl/workbook.xml",
    )
    for content in (bomb, head):
        began = time.process_time()
        with pytest.raises(FileRefused):
            sheets_of(content)
        assert time.process_time() - began < 2


def test_a_sheet_that_goes_on_for_ever_is_refused(workbook: Callable[..., bytes]) -> None:
    far = _changed(
        workbook([HEAD]),
        b"</sheetData>",
        b'<row r="1048576"><c r="A1048576"/></row></sheetData>',
        "xl/worksheets/sheet1.xml",
    )
    began = time.process_time()
    with pytest.raises(FileRefused, match="goes on beyond row 50,000"):
        sheets_of(far)
    assert time.process_time() - began < 3


def test_more_merged_cells_than_a_list_has_are_refused(workbook: Callable[..., bytes]) -> None:
    merges = b"".join(b'<mergeCell ref="A%d:A%d"/>' % (n, n + 1) for n in range(1, 9000, 2))
    content = _changed(
        workbook([HEAD, ["a", "b", 1]]),
        b"</sheetData>",
        b"</sheetData><mergeCells>" + merges + b"</mergeCells>",
        "xl/worksheets/sheet1.xml",
    )
    with pytest.raises(FileRefused, match="merged cells"):
        sheets_of(content)


def test_a_workbook_damaged_anywhere_gives_words_and_no_fault(workbook: Callable[..., bytes]) -> None:
    """Bytes turned at random: the reader answers with sheets or with words, never with anything else."""
    whole = workbook([HEAD, ["cooling", "Bleed", 2.5]])
    dice = random.Random(3)
    for _ in range(300):
        damaged = bytearray(whole)
        for _ in range(dice.randint(1, 30)):
            damaged[dice.randrange(4, len(damaged))] = dice.randrange(256)
        try:
            sheets_of(bytes(damaged))
        except FileRefused:
            continue


def test_xml_damaged_anywhere_gives_words_and_no_fault(workbook: Callable[..., bytes]) -> None:
    whole = workbook([HEAD, ["cooling", "Bleed", 2.5]], merge=["A2:A3"])
    with zipfile.ZipFile(io.BytesIO(whole)) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    dice = random.Random(4)
    for _ in range(300):
        name = dice.choice(sorted(members))
        data = bytearray(members[name])
        place = dice.randrange(len(data))
        data[place : place + dice.randint(0, 12)] = dice.choice(
            [b"<", b"999999999", b"A", b'"', b"\xff", b"t"]
        )
        try:
            sheets_of(_zip(**{**members, name: bytes(data)}))
        except FileRefused:
            continue


def test_the_reader_refuses_entities_by_defusedxml() -> None:
    """openpyxl uses it when it is there; this fails the day it no longer does."""
    from openpyxl.xml import DEFUSEDXML

    assert DEFUSEDXML
    assert load_workbook


def test_a_cell_beyond_the_headings_is_not_lost_silently(
    tern: Car, area: Area, preview: Callable[..., Any]
) -> None:
    [fault] = preview(tern, jobs="area;title;hours;after\ncooling;A;1;b; c\n").faults[:1]
    assert str(fault).startswith("Job list, row 2, cell 5: “c” stands to the right of the last heading.")

"""A spreadsheet of a wire list: understood or named by row, and never half of it."""

import io

import pytest
from openpyxl import Workbook, load_workbook

from engineering.loom.reading import read_components, read_devices, read_runs, read_wires
from engineering.loom.wire_list import DeviceKind, Nature, Pin, WireLine

HEADINGS = ["Label", "From", "From cavity", "To", "To cavity", "Circuit", "Colour", "Least size", "Through"]


def numbered(*rows):
    return list(enumerate(rows, start=1))


def faults(read):
    return [str(fault) for fault in read.faults]


def test_a_wire_list_with_units_in_its_numbers():
    read = read_wires(
        numbered(
            ["Wire list of Tern", None],
            [],
            HEADINGS,
            ["W1", "FB", "1", "S1", None, 30.0, "N", "2,5 mm²", None],
            ["W2", "S1", None, "HL/56", None, "56", "U", "0.75mm2", "J2, J3"],
        )
    )
    assert read.faults == ()
    assert read.entries == (
        WireLine("W1", Pin("FB", "1"), Pin("S1"), "30", "N", least_mm2=2.5),
        WireLine("W2", Pin("S1"), Pin("HL", "56"), "56", "U", least_mm2=0.75, via=("J2", "J3")),
    )


def test_the_columns_may_stand_in_any_order_and_have_other_headings():
    read = read_wires(numbered(["Color", "To", "Notes", "Wire no.", "From", "Signal", "Class", "Gauge"],
                               ["R", "B/2", "behind the dash", "7", "A/1", "x", "c", "14 AWG"]))  # fmt: skip
    (wire,) = read.entries
    assert (wire.label, wire.start, wire.end, wire.colour) == ("7", Pin("A", "1"), Pin("B", "2"), "R")
    assert (wire.signal, wire.insulation) == (True, "c")
    assert wire.given_mm2 == pytest.approx(1.876, abs=0.001)


def test_every_fault_is_named_by_row_and_nothing_is_kept():
    read = read_wires(
        numbered(
            HEADINGS,
            ["W1", "FB", "1", "S1", None, "30", "N", "4 mm", None],
            [None, "FB", "2", "S1", None, "30", "N", None, None],
            ["W3", "FB/3", "3", "S1", None, "30", "N", None, None],
            ["W4", "FB", "4", "S2", None, "30", "N", None, None],
            ["W4", "FB", "5", "S2", None, "30", "N", None, None],
        )
    )
    assert read.entries == ()
    assert faults(read) == [
        "Row 2, Least size: “4 mm” is a diameter or a trade name; give the copper area in mm².",
        "Row 3, Label: is empty; fill it in, or take the row out.",
        "Row 4, From: gives a cavity twice: FB/3 and 3; write it once.",
        "Row 6, Label: W4 stands already in row 5; give each its own name, and part merged cells.",
    ]


def test_a_table_without_headings_says_what_it_needs():
    assert faults(read_wires(numbered(["W1", "FB", "S1"]))) == [
        "The table: no row of headings was found; it needs at least “Label”, “From”, “To”."
    ]
    assert faults(read_wires([])) == faults(read_wires(numbered(["W1", "FB", "S1"])))
    assert faults(read_wires(numbered(HEADINGS))) == ["The table: there are no wires below the headings."]
    twice = read_wires(
        numbered([*HEADINGS, "colour"], ["W1", "A/1", None, "B/1", None, "", "N", "", "", "R"])
    )
    assert faults(twice) == ["Row 1, Colour: two columns have this heading; rename one of them."]


def test_runs_with_the_unit_in_the_heading():
    read = read_runs(
        numbered(["Run", "From", "To", "Length (m)", "Surroundings", "Hottest, °C"],
                 ["R1", "J1", "J2", "1,25", "Engine bay", None],
                 ["R2", "J2", "J3", "80 cm", "cabin", "45 °C"],
                 ["R3", "J3", "J4", 0.3, None, None])
    )  # fmt: skip
    assert [(run.length_mm, run.surroundings, run.ambient_c) for run in read.entries] == [
        (pytest.approx(1250), "engine", 85),
        (pytest.approx(800), "cabin", 45),
        (pytest.approx(300), "cabin", 50),
    ]
    bad = read_runs(numbered(["Run", "From", "To", "Length"], ["R1", "J1", "J2", "1.200,5"],
                             ["R2", "J1", "J2", "1,200"], ["R3", "J1", "J2", "moon"]))  # fmt: skip
    assert faults(bad) == [
        "Row 2, Length: “1.200,5”: the unit “,5” is not known; write it like 1250 mm.",
        "Row 3, Length: “1,200” can be read two ways; write 1200 or 1.200.",
        "Row 4, Length: “moon” is not a figure; write it like 1250 mm.",
    ]


def test_components_and_devices():
    read = read_components(
        numbered(["Component", "Feed", "Return", "Current", "Kind", "Inrush", "Inrush time", "Duty", "Class"],
                 ["Left lamp", "HL/1", None, "4,6 A", "lamp", None, None, None, "headlamps"],
                 ["Window", "WM/1", "WM/2", "6A", "Motor", "25 A", "150 ms", "10 %", "other"])
    )  # fmt: skip
    lamp, window = read.entries
    assert (lamp.steady_a, lamp.nature, lamp.returns, lamp.drop) == (4.6, Nature.LAMP, None, "headlamp")
    assert (window.inrush_a, window.inrush_s, window.duty) == (25, pytest.approx(0.15), pytest.approx(0.1))
    assert (window.nature, window.returns) == (Nature.MOTOR, Pin("WM", "2"))
    bad = read_components(numbered(["Component", "Feed", "Current", "Kind"], ["Fan", "F/1", "120 W", "fan"]))
    assert faults(bad)[0] == "Row 2, Current: “120 W” is in W, and current is asked for; write it like 15 A."
    assert "kind “fan” is not known; write one of “steady”" in faults(bad)[1]
    fuses = read_devices(
        numbered(["Fuse", "In", "Out", "Rating", "Kind"], ["F1", "FB/a", "FB/b", "15A", None],
                 ["O2", "BAT+", "PM/2", None, "Output"])
    ).entries  # fmt: skip
    assert [(each.rating_a, each.kind) for each in fuses] == [
        (15, DeviceKind.FUSE),
        (None, DeviceKind.ELECTRONIC),
    ]


def test_a_workbook_with_merged_cells():
    """Merged down, a cell stands in each of its rows, as the import fills it: a connector is understood so, a
    label is named as standing twice."""
    book = Workbook()
    sheet = book.active
    for row in (["Label", "From", "From cavity", "To"], ["W1", "FB", 1, "S1"], ["W2", None, 2, "S2"]):
        sheet.append(row)
    sheet.merge_cells("B2:B3")
    content = io.BytesIO()
    book.save(content)
    sheet = load_workbook(io.BytesIO(content.getvalue())).active
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    for merged in sheet.merged_cells.ranges:
        for row in range(merged.min_row, merged.max_row + 1):
            rows[row - 1][merged.min_col - 1] = sheet.cell(merged.min_row, merged.min_col).value
    read = read_wires(numbered(*rows))
    assert [(wire.label, str(wire.start)) for wire in read.entries] == [("W1", "FB/1"), ("W2", "FB/2")]
    rows[2][0] = "W1"
    assert faults(read_wires(numbered(*rows))) == [
        "Row 3, Label: W1 stands already in row 2; give each its own name, and part merged cells."
    ]

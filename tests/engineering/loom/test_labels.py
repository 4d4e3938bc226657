"""Labels of the wires: as large as the wire is round, text that fits, and the sleeve over it."""

import math

import pytest

from engineering.loom import LoomInputError
from engineering.loom.cutting import CutRow, cut_list
from engineering.loom.generic import generic_loom
from engineering.loom.labels import MARGIN_MM, MOST_LONG_MM, sleeve_for, wire_labels
from engineering.loom.sizing import size_loom


def row(size: str = "2.5 mm²", label: str = "12.1", end: str = "FAN/1") -> CutRow:
    return CutRow(1, label, "12", "BW", size, 4000, "FB/3", end, "", "", (), 0.0)


@pytest.mark.parametrize(
    ("size", "outer_mm"), [("0.5 mm²", 1.7), ("2.5 mm²", 3.0), ("6 mm²", 4.3)], ids=lambda value: str(value)
)
def test_a_label_goes_once_round_the_insulation(size, outer_mm):
    """Outer diameters of ISO 6722 thin wall (0.5 mm² from memory); a circle is π d."""
    first, second = wire_labels([row(size)])[0]
    assert first.wrap_mm == second.wrap_mm == pytest.approx(math.pi * outer_mm)
    assert first.lines * first.text_mm <= first.wrap_mm


def test_each_end_says_where_it_goes():
    first, second = wire_labels([row()])[0]
    assert (first.text, second.text) == ("12.1  BW  FB/3", "12.1  BW  FAN/1")


def test_the_text_of_every_label_of_a_car_fits_by_the_font_itself(pytestconfig):
    """Advance widths read from the font file by fontTools."""
    font_tools = pytest.importorskip("fontTools.ttLib", reason="fontTools reads the font")
    from importlib.resources import files

    path = files("fontpkg_barlow_condensed") / "files" / "BarlowCondensed-SemiBold.ttf"
    font = font_tools.TTFont(str(path))
    em, letters, widths = font["head"].unitsPerEm, font.getBestCmap(), font["hmtx"]
    cap = font["OS/2"].sCapHeight / em
    for pair in wire_labels(cut_list(size_loom(generic_loom()))):
        for label in pair:
            size_mm = label.text_mm / cap
            wide_mm = size_mm * sum(widths[letters[ord(sign)]][0] for sign in label.text) / em
            assert wide_mm <= label.long_mm - 2 * MARGIN_MM, label.text


def test_a_long_name_is_cut_and_says_so():
    label = wire_labels([row(end="A connector with a very long name indeed, left of the heater box/12")])[0][
        1
    ]
    assert label.text.startswith("12.1  BW  A connector with")
    assert label.text.endswith("…/12")
    assert label.long_mm <= MOST_LONG_MM


@pytest.mark.parametrize("ratio", [2, 3])
@pytest.mark.parametrize("outer_mm", [1.4, 1.7, 2.4, 3.7, 6.0, 10.4])
def test_a_sleeve_goes_over_the_wire_and_grips_it(outer_mm, ratio):
    sleeve = sleeve_for(outer_mm, ratio)
    assert sleeve is not None
    assert sleeve.recovered_mm < outer_mm < sleeve.supplied_mm


def test_other_ratios_and_sizes_are_refused():
    for ratio in (0, 4):
        with pytest.raises(LoomInputError, match="2 or 3 to 1"):
            wire_labels([row()], ratio)
    with pytest.raises(LoomInputError, match="no conductor"):
        wire_labels([row("2.7 mm²")])

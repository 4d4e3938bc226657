"""Figures as they stand in a workshop's spreadsheet."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.loom import WIRES, Series
from engineering.loom.figures import FigureError, Kind, figure


@pytest.mark.parametrize(
    ("cell", "kind", "value"),
    [
        ("2,5 mm²", Kind.AREA, 2.5),
        ("2.5mm2", Kind.AREA, 2.5),
        ("0,75 qmm", Kind.AREA, 0.75),
        (2.5, Kind.AREA, 2.5),
        ("15A", Kind.CURRENT, 15),
        ("15 A", Kind.CURRENT, 15),
        ("250 mA", Kind.CURRENT, 0.25),
        ("7,5 amps", Kind.CURRENT, 7.5),
        (7, Kind.CURRENT, 7),
        ("1,2 m", Kind.LENGTH, 1200),
        ("1250", Kind.LENGTH, 1250),
        ("1 250 mm", Kind.LENGTH, 1250),
        ("4 ft", Kind.LENGTH, 1219.2),
        ('10"', Kind.LENGTH, 254),
        ("85 °C", Kind.TEMPERATURE, 85),
        ("-10", Kind.TEMPERATURE, -10),
        ("−10 °C", Kind.TEMPERATURE, -10),
        ("185 °F", Kind.TEMPERATURE, 85),
        ("200 ms", Kind.TIME, 0.2),
        ("2 min", Kind.TIME, 120),
        ("30 %", Kind.SHARE, 0.3),
        ("0,3", Kind.SHARE, 0.3),
        ("12V", Kind.VOLTAGE, 12),
        ("\u00a012 V ", Kind.VOLTAGE, 12),
    ],
)
def test_a_figure_with_its_unit(cell, kind, value):
    assert figure(cell, kind) == pytest.approx(value)


def test_a_bare_number_takes_the_unit_of_its_heading():
    assert figure("1.25", Kind.LENGTH, unit="m") == pytest.approx(1250)
    assert figure(1.25, Kind.LENGTH, unit="m") == pytest.approx(1250)
    assert figure("80 mm", Kind.LENGTH, unit="m") == pytest.approx(80)


def test_an_empty_cell_is_no_figure():
    assert figure(None, Kind.CURRENT) is figure("  ", Kind.CURRENT) is None


@pytest.mark.parametrize(("cell", "name"), [("14 AWG", "14 AWG"), ("awg 8", "8 AWG"), ("2/0 AWG", "2/0 AWG"),
                                            ("00 AWG", "2/0 AWG"), ("10 ga", "10 AWG")])  # fmt: skip
def test_a_gauge_is_an_area(cell, name):
    wire = next(wire for wire in WIRES[Series.AWG] if wire.name == name)
    assert figure(cell, Kind.AREA) == wire.area_mm2


@pytest.mark.parametrize(
    ("cell", "kind", "words"),
    [
        ("4 mm", Kind.AREA, "is a diameter or a trade name"),
        ("23 AWG", Kind.AREA, "no gauge that is sold"),
        ("15 V", Kind.CURRENT, "is in V, and current is asked for"),
        ("55 W", Kind.CURRENT, "is in W, and current is asked for"),
        ("5 parsecs", Kind.LENGTH, "the unit “parsecs” is not known"),
        ("about 5", Kind.LENGTH, "is not a figure; write it like 1250 mm"),
        ("5-7 A", Kind.CURRENT, "the unit “-7 A” is not known"),
        ("1,250", Kind.LENGTH, "can be read two ways; write 1250 or 1.250"),
        (float("nan"), Kind.CURRENT, "holds no figure"),
        ("nan", Kind.CURRENT, "is not a figure"),
        (True, Kind.CURRENT, "yes or no"),
        (date(2027, 5, 2), Kind.AREA, "a date or a time"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_words(cell, kind, words):
    with pytest.raises(FigureError) as refusal:
        figure(cell, kind)
    assert words in refusal.value.message


@given(st.text(max_size=20), st.sampled_from(Kind))
def test_whatever_is_typed_is_read_or_refused(text, kind):
    try:
        value = figure(text, kind)
    except FigureError:
        return
    assert value is None or value == value


@given(st.floats(-9999, 9999).map(lambda value: round(value, 3)))
def test_comma_and_point_mean_the_same(value):
    written = f"{value:.3f}"
    if "," not in written:
        assert figure(written + " mm²", Kind.AREA) == figure(written.replace(".", ",") + " mm²", Kind.AREA)

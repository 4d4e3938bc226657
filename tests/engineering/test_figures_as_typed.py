"""How a figure may be typed."""

import pytest
from django.core.exceptions import ValidationError

from engineering.fields import CountField, FigureField

LENGTH = FigureField(words="Length", unit="mm")


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("604", 604), (" 2.5 ", 2.5), ("2,5", 2.5), ("2.5 mm", 2.5), ("2,5mm", 2.5), ("−3", -3),
        ("0,001", 0.001),
        ("1200", 1200), ("12,50", 12.5),
    ],
)  # fmt: skip
def test_a_figure_is_read_as_people_write_it(typed, value):
    assert LENGTH.clean(typed) == value


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "Length: give it in mm."),
        ("   ", "Length: give it in mm."),
        ("1,200", "can be read two ways; write 1200 or 1.200"),
        ("60 cm", "is not a number in mm"),
        ("24 in", "is not a number in mm"),
        ("2 ft", "is not a number in mm"),
        ("1.2.3", "is not a number in mm"),
        ("1e9", "is not a number in mm"),
        ("nan", "is not a number in mm"),
        ("inf", "is not a number in mm"),
        ("9" * 400, "is not a number in mm"),
        ("<b>6</b>", "is not a number in mm"),
        ("½", "is not a number in mm"),
    ],
)
def test_anything_else_is_refused_in_words(typed, words):
    with pytest.raises(ValidationError) as refusal:
        LENGTH.clean(typed)
    assert words in refusal.value.messages[0]
    assert refusal.value.messages[0].startswith("Length: ")


def test_wires_come_whole():
    with pytest.raises(ValidationError, match=r"2\.5 is not a whole number"):
        CountField(words="Other wires", unit="wires").clean("2.5")

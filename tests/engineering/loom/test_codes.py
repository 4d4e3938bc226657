"""Colours and terminal numbers, against reproductions of the standards."""

import pytest

from engineering.loom.codes import TERMINALS, ColourCode, colour_of


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("N", "brown"),
        ("NW", "brown with white"),
        ("UW", "blue with white"),
        ("UR", "blue with red"),
        ("NB", "brown with black"),
        ("N-LG", "brown with light green"),
        ("ulg", "blue with light green"),
        ("LGN", "light green with brown"),
        ("wg", "white with green"),
    ],
)
def test_british_colours(code, words):
    """BS AU 7a:1983, brown and blue blocks, and its example WG, after a car club's reproduction."""
    assert str(colour_of(code, ColourCode.BS_AU_7)) == words


@pytest.mark.parametrize(
    ("code", "standard", "words"),
    [
        ("sw/ge", ColourCode.DIN, "black with yellow"),
        ("br", ColourCode.DIN, "brown"),
        ("GNYE", ColourCode.IEC_60757, "green with yellow"),
        ("rd bk", ColourCode.IEC_60757, "red with black"),
    ],
)
def test_continental_colours(code, standard, words):
    """DIN letters and IEC 60757, from memory of the standards."""
    assert str(colour_of(code, standard)) == words


@pytest.mark.parametrize("code", ["", "Q", "WW", "W/", "BGR", "12"])
def test_what_is_no_colour_is_not_guessed(code):
    assert colour_of(code, ColourCode.BS_AU_7) is None


def test_terminal_numbers():
    """DIN 72552, after reproductions that agree."""
    assert TERMINALS["30"] == "plus direct from the battery"
    assert TERMINALS["15"].startswith("switched plus")
    assert TERMINALS["56b"] == "dip beam"
    assert TERMINALS["85"] == "relay coil, end (minus)"

"""How a coat changes sizes and threads, against published figures."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.trade.growth import (
    COATS,
    NoFigure,
    OutOfRange,
    coating_growth,
    film_um,
    thickest_plating_um,
    thread_allowance_um,
)

# Rule of thumb of the trade (notes on growth, and a thread-coating geometry note): type II grows a third of
# its film, type III a half; diameters move twice the growth, the pitch diameter of a 60° thread four times.
GROWTH_TABLE = [
    ("anodise_decorative", 10, 3.3, 6.7, 13),
    ("anodise_decorative", 15, 5, 10, 20),
    ("anodise_decorative", 25, 8.3, 17, 33),
    ("anodise_hard", 25, 12.5, 25, 50),
    ("anodise_hard", 50, 25, 50, 100),
]


@pytest.mark.parametrize(("process", "film", "face", "diameter", "pitch"), GROWTH_TABLE)
def test_the_published_rule_for_anodising(
    process: str, film: float, face: float, diameter: float, pitch: float
) -> None:
    growth = coating_growth(process, film)
    assert growth.face_um == pytest.approx(face, abs=0.05)
    assert growth.shaft_um == pytest.approx(diameter, abs=0.5)
    assert growth.bore_um == -growth.shaft_um
    assert growth.pitch_um == pytest.approx(pitch, abs=0.5)


# Coarse threads of ISO 261 with the fundamental deviation es of position g in ISO 965-1, Table 1 (both from
# memory). The plating limit is the quarter of it that ISO 4042 gives for external threads.
THREADS = [
    ("M5", 0.8, 24, 6),
    ("M6", 1.0, 26, 6.5),
    ("M8", 1.25, 28, 7),
    ("M10", 1.5, 32, 8),
    ("M12", 1.75, 34, 8.5),
]


@pytest.mark.parametrize(("thread", "pitch", "allowance", "plating"), THREADS)
def test_the_allowance_of_a_6g_thread(thread: str, pitch: float, allowance: float, plating: float) -> None:
    """The table rounds to its own series, up to 1 µm away from 15 + 11 P."""
    assert thread_allowance_um(pitch) == pytest.approx(allowance, abs=1)
    assert thickest_plating_um(pitch) == pytest.approx(plating, abs=0.25)


@pytest.mark.parametrize(("thread", "pitch", "allowance", "plating"), THREADS)
def test_the_thickest_plating_just_fills_the_allowance(
    thread: str, pitch: float, allowance: float, plating: float
) -> None:
    thickest = thickest_plating_um(pitch)
    assert coating_growth("zinc_plate", thickest).pitch_um == pytest.approx(thread_allowance_um(pitch))


@pytest.mark.parametrize("angle", [60.0, 55.0, 47.5, 30.0])
def test_the_pitch_diameter_moves_as_drawn(angle: float) -> None:
    """Independent: draw one flank, move it square to itself by g, see where it crosses the old pitch line.

    The pitch diameter is where groove and ridge are of one width; each flank that moves out by d along the
    axis lifts that place by d / tan(a/2) on either side, so by twice that on the diameter.
    """
    growth = 5.0
    half = math.radians(angle / 2)
    flank = np.array([math.sin(half), math.cos(half)])  # along the flank, x along the axis, y outwards
    normal = np.array([flank[1], -flank[0]])  # square to it, out of the metal
    start = normal * growth
    # where the moved flank crosses x = 0, where the old one crossed the pitch line
    lifted = start[1] - flank[1] / flank[0] * start[0]
    moved = coating_growth("zinc_plate", growth, angle_deg=angle).pitch_um
    assert moved == pytest.approx(2 * abs(lifted))


def test_sixty_degrees_give_four_and_whitworth_a_little_more() -> None:
    """4 and 4.33: thread-coating geometry note; 55° by 2 / sin 27.5°, from memory of plating handbooks."""
    assert coating_growth("zinc_plate", 10).pitch_um == pytest.approx(40)
    assert coating_growth("zinc_plate", 10, angle_deg=55).pitch_um == pytest.approx(43.3, abs=0.05)


def test_the_finisher_may_give_his_own_share() -> None:
    """One published page uses half for ordinary anodising too."""
    assert coating_growth("anodise_decorative", 20, share=0.5).face_um == 10
    assert coating_growth("anodise_decorative", 20, share=0).shaft_um == 0


def test_electropolishing_takes_off() -> None:
    """10 to 40 µm a face (from memory: Euro Inox vol. 11)."""
    growth = coating_growth("electropolish", 20)
    assert (growth.face_um, growth.shaft_um, growth.bore_um) == (-20, -40, 40)


@pytest.mark.parametrize(
    ("process", "film", "words"),
    [
        ("anodise_decorative", 60, "from 1.8 to 25.4 µm, not for 60 µm"),
        ("anodise_hard", 5, "from 12.7 to 115 µm"),
        ("zinc_plate", 0, "from 2 to 30 µm"),
        ("zinc_plate", -8, "from 2 to 30 µm"),
        ("zinc_plate", math.nan, "from 2 to 30 µm"),
        ("zinc_plate", math.inf, "from 2 to 30 µm"),
        ("powder_coat", 900, "from 30 to 250 µm"),
    ],
)
def test_a_film_outside_the_range_is_refused_in_words(process: str, film: float, words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        coating_growth(process, film)


def test_other_refusals() -> None:
    with pytest.raises(NoFigure, match="Ask the finisher"):
        coating_growth("passivate", 5)
    with pytest.raises(OutOfRange, match=r"from 0 to 1, not 1\.5"):
        coating_growth("zinc_plate", 8, share=1.5)
    with pytest.raises(OutOfRange, match="60 for metric"):
        coating_growth("zinc_plate", 8, angle_deg=0)
    with pytest.raises(OutOfRange, match="pitch of a metric thread"):
        thread_allowance_um(0)
    with pytest.raises(OutOfRange):
        thickest_plating_um(math.nan)


@given(st.sampled_from(sorted(COATS)), st.floats(0, 1), st.floats(30, 90))
def test_a_thicker_film_never_changes_a_size_less(process: str, part: float, angle: float) -> None:
    coat = COATS[process]
    thin = coat.least_um + part * (coat.most_um - coat.least_um) / 2
    thick = (thin + coat.most_um) / 2
    changes = [abs(coating_growth(process, film, angle_deg=angle).pitch_um) for film in (thin, thick)]
    assert changes == sorted(changes)
    assert abs(coating_growth(process, thick).pitch_um) > abs(coating_growth(process, thick).shaft_um)


@pytest.mark.parametrize(
    ("text", "film"),
    [
        ("AA15", (15, 15)),
        ("aa 25", (25, 25)),
        ("8 µm, passivated", (8, 8)),
        ("8 μm", (8, 8)),
        ("Fe/Zn 8", (8, 8)),
        ("Fe/Zn12/B", (12, 12)),
        ("60 to 80 µm", (60, 80)),
        ("60–80 um", (60, 80)),
        ("12,5 µm", (12.5, 12.5)),
        ("nickel and chrome", None),
        ("RAL 9005", None),
        ("", None),
        ("3 mm sheet", None),
    ],
)
def test_the_thickness_is_read_from_the_class(text: str, film: tuple[float, float] | None) -> None:
    assert film_um(text) == film

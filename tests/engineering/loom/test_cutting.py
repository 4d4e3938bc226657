"""From the list to the bench: lengths, order, metres to buy, copper."""

from dataclasses import replace

import pytest

from engineering.loom import LoomInputError
from engineering.loom.copper import awg_area_mm2
from engineering.loom.cutting import copper_g, cut_list, insulation_g, pin_out, purchases, run_bundles
from engineering.loom.sizing import size_loom
from engineering.loom.wires import WIRES, Series
from tests.engineering.loom.looms import small_loom, with_cavity, with_device


def test_a_cut_list_by_hand():
    """Two tails of 50 mm; W6 passes two runs and is laid first."""
    rows = cut_list(size_loom(small_loom()))
    assert [(row.order, row.label, row.size, row.cut_mm, row.route) for row in rows] == [
        (1, "W6", "1.5 mm²", 1600, ("R1", "R3")),
        (2, "W3", "3 mm²", 2100, ("R2",)),
        (3, "W2", "3 mm²", 1100, ("R1",)),
        (4, "W1", "3 mm²", 100, ()),
        (5, "W4", "1.5 mm²", 100, ()),
        (6, "W5", "1.5 mm²", 100, ()),
        (7, "W7", "1 mm²", 100, ()),
    ]
    assert (rows[1].start, rows[1].end, rows[1].colour, rows[1].end_terminal) == (
        "SW/56",
        "S1",
        "U",
        "splice",
    )
    assert rows[3].start_terminal == "ring"


def test_a_terminal_is_that_of_its_cavity():
    loom = with_cavity(small_loom(), "SW", "56", terminal="6.3 mm receptacle")
    assert cut_list(size_loom(loom))[1].start_terminal == "6.3 mm receptacle"


def test_cut_lengths_are_rounded_up():
    loom = replace(small_loom(), tail_mm=51)
    assert [row.cut_mm for row in cut_list(size_loom(loom))][:3] == [1610, 2110, 1110]


def test_what_has_no_size_is_not_cut():
    labels = {row.label for row in cut_list(size_loom(with_device(small_loom(), "F1", rating_a=10)))}
    assert labels == {"W6", "W7"}


def test_metres_reels_and_copper_to_buy():
    """U: W3 2.1 m of 3 mm², W4 and W5 0.2 m of 1.5 mm²; N: W2 1.1 m and W1 0.1 m of 3 mm²."""
    bought = {(p.colour, p.size): p for p in purchases(size_loom(small_loom()), reel_m=2, waste_share=0)}
    assert {key: (round(p.length_m, 3), p.reels) for key, p in bought.items()} == {
        ("N", "3 mm²"): (1.2, 1),
        ("U", "3 mm²"): (2.1, 2),
        ("U", "1.5 mm²"): (0.2, 1),
        ("G", "1.5 mm²"): (1.6, 1),
        ("B", "1 mm²"): (0.1, 1),
    }
    assert bought["U", "3 mm²"].copper_g == pytest.approx(8.89 * 3 * 2.1)
    with pytest.raises(LoomInputError, match="Reel"):
        purchases(size_loom(small_loom()), reel_m=0)
    with pytest.raises(LoomInputError, match="Waste"):
        purchases(size_loom(small_loom()), waste_share=2)


@pytest.mark.parametrize(
    ("number", "lb_per_1000_ft"),
    [(-3, 640.5), (0, 319.5), (4, 126.4), (10, 31.43), (12, 19.77), (14, 12.43), (18, 4.917), (20, 3.092)],
)
def test_copper_mass_of_the_open_textbook(number, lb_per_1000_ft):
    """Kuphaldt, Lessons in Electric Circuits, solid wire, pounds per 1000 ft (figures from memory of it)."""
    grams_per_m = lb_per_1000_ft * 453.59237 / 304.8
    assert copper_g(awg_area_mm2(number), 1) == pytest.approx(grams_per_m, rel=1e-3)


def test_runs_to_sleeve():
    """R1 holds W2 of 3 mm² (3.4 mm) and W6 of 1.5 mm² (2.4 mm): 5.8 mm side by side."""
    first, second, third = run_bundles(size_loom(small_loom()))
    assert (first.name, first.wires) == ("R1", ("W2", "W6"))
    assert first.diameter_mm == pytest.approx(5.8)
    assert str(first.shrink) == "9.5/4.8 mm"
    assert (second.wires, second.diameter_mm, second.length_m) == (("W3",), 3.4, 2.0)
    assert third.wires == ("W6",)


def test_a_pin_out_sheet():
    loom = small_loom()
    assert pin_out(loom, "SW") == (("30", "W2"), ("56", "W3"))
    assert pin_out(replace(loom, wires=loom.wires[:2]), "SW") == (("30", "W2"), ("56", ""))


@pytest.mark.parametrize(
    ("size", "published_lb_per_kft"),
    [("18 AWG", 9), ("16 AWG", 13), ("14 AWG", 19), ("12 AWG", 26), ("10 AWG", 40), ("8 AWG", 64)],
)
def test_whole_cable_is_somewhat_lighter_than_a_medium_wall_one(size, published_lb_per_kft):
    """A supplier's sheet of cross-linked vehicle cable, medium wall, nominal areas; ours is thin wall and a
    tenth less copper: lighter, by 15 to 35 %."""
    wire = next(wire for wire in WIRES[Series.AWG] if wire.name == size)
    ours_g = copper_g(wire.area_mm2, 1) + insulation_g(wire, 1)
    published_g = published_lb_per_kft * 453.59237 / 304.8
    assert 0.65 < ours_g / published_g < 0.9


def test_insulation_is_the_ring_round_the_conductor():
    """0.5 mm²: π/4 · (1.7² − 1.1²) = 1.319 mm²; practice says 40 to 60 % of the copper at that size."""
    wire = next(wire for wire in WIRES[Series.METRIC] if wire.area_mm2 == 0.5)
    assert insulation_g(wire, 1000) == pytest.approx(1.3195 * 1.35 * 1000, rel=1e-3)
    assert 0.35 < insulation_g(wire, 1) / copper_g(0.5, 1) < 0.6

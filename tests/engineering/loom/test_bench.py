"""The bench: what a newer list undoes, and what a meter should show."""

from dataclasses import replace

import pytest

from engineering.loom import LoomInputError
from engineering.loom.bench import (
    ALL_STEPS,
    Step,
    bench_changes,
    continuity_verdict,
    drop_verdict,
    expected_ohm,
)
from engineering.loom.cutting import CutRow

ROW = CutRow(
    1, "12.1", "12", "BW", "2.5 mm²", 4000, "FB/3", "FAN/1", "ring", "6.3 mm receptacle", ("R1", "R4"), 88.9,
    "c",
)  # fmt: skip


@pytest.mark.parametrize(
    ("size", "ohm_per_m"),
    [("1.5 mm²", 0.0127), ("2.5 mm²", 0.0076), ("4 mm²", 0.00471), ("6 mm²", 0.00314)],
    ids=lambda value: str(value),
)
def test_continuity_is_the_standards_resistance_by_the_metre(size, ohm_per_m):
    """Ω/m at 20 °C after ISO 6722, as a cable maker's table of road-vehicle cable prints them."""
    assert expected_ohm(size, 5000) == pytest.approx(5 * ohm_per_m)


def test_the_drop_of_a_gauge_is_within_the_stranded_row_of_the_nec():
    """10 AWG stranded, uncoated: 1.24 ohm/kft at 75 °C (NEC chapter 9 table 8), 1.020 at 20 °C by IEC 60028.

    The vehicle gauge has a tenth less copper than the nominal one (9343 against 10380 circular mils).
    """
    nec_20 = 1.24 / (1 + 0.00393 * 55) / 304.8
    assert expected_ohm("10 AWG", 1000) == pytest.approx(nec_20 * 10380 / 9343, rel=0.01)


@pytest.mark.parametrize(
    ("size", "current_a", "published_v"),
    [
        ("1 mm²", 8.75, 0.827),
        ("1.5 mm²", 12.75, 0.797),
        ("2 mm²", 17.5, 0.823),
        ("2.5 mm²", 21.75, 0.816),
        ("3 mm²", 25.5, 0.765),
    ],
)
def test_a_published_drop_of_a_sound_wire_passes(size, current_a, published_v):
    """A towing trade's guide: 5 m of one conductor at its rated current. Its ohm/m lie within 3 % of ours."""
    verdict = drop_verdict(size, 5000, published_v, current_a)
    assert verdict.passes
    assert verdict.expected == pytest.approx(published_v, rel=0.03)


def test_a_sound_wire_passes_and_a_poor_crimp_is_found_by_its_drop():
    """Lessons in Electric Circuits, DC: V = I · R. 4 m of 7.6 mΩ/m at 10 A: 0.304 V."""
    sound = drop_verdict("2.5 mm²", 4000, 0.31, 10)
    assert sound.passes
    assert sound.expected == pytest.approx(10 * 4 * 0.0076)
    poor = drop_verdict("2.5 mm²", 4000, 0.31 + 10 * 0.02, 10)  # one crimp of 20 mΩ
    assert not poor.passes
    assert "poor crimp" in poor.why


def test_a_warm_wire_may_drop_what_its_temperature_asks():
    """IEC 60028: 0.393 % for each kelvin; at 85 °C a quarter more than at 20 °C."""
    cold, warm = (drop_verdict("2.5 mm²", 4000, 0.3, 10, warmest_c) for warmest_c in (30, 85))
    added = warm.most - cold.most
    assert added == pytest.approx(10 * 0.0304 * 1.05 * 0.00393 * 55)


def test_a_plain_meter_tells_a_broken_wire_and_a_milliohm_meter_a_poor_one():
    plain = continuity_verdict("2.5 mm²", 4000, 0.06)
    fine = continuity_verdict("2.5 mm²", 4000, 0.06, four_wire=True)
    assert (plain.passes, fine.passes) == (True, False)
    assert not continuity_verdict("2.5 mm²", 4000, None).passes
    assert not continuity_verdict("2.5 mm²", 4000, 1.5).passes


def test_too_little_is_another_wire_or_a_second_way():
    verdict = continuity_verdict("0.5 mm²", 10000, 0.05, four_wire=True)  # 0.371 ohm by the standard
    assert not verdict.passes
    assert "second way" in verdict.why


@pytest.mark.parametrize(
    ("given", "field"),
    [
        (("2.5 mm²", 4000, -0.1, 10), "reading_v"),
        (("2.5 mm²", 4000, float("nan"), 10), "reading_v"),
        (("2.5 mm²", 4000, 0.1, 0), "current_a"),
        (("2.7 mm²", 4000, 0.1, 5), "size"),
    ],
)
def test_a_reading_that_cannot_be_is_refused(given, field):
    with pytest.raises(LoomInputError) as refused:
        drop_verdict(*given)
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("changed", "voids"),
    [
        ({"size": "4 mm²"}, ALL_STEPS),
        ({"cut_mm": 4060.0}, ALL_STEPS),
        ({"colour": "BG"}, ALL_STEPS),
        ({"insulation": "d"}, ALL_STEPS),
        ({"route": ("R1", "R5")}, {Step.LAID, Step.TERMINATED, Step.TESTED}),
        ({"end": "FAN/2"}, {Step.LABELLED, Step.TERMINATED, Step.TESTED}),
        ({"end_terminal": "2.8 mm receptacle"}, {Step.TERMINATED, Step.TESTED}),
    ],
)
def test_what_a_change_undoes(changed, voids):
    (found,) = bench_changes([ROW], [replace(ROW, **changed)])
    assert (found.kind, found.voids) == ("changed", voids)


@pytest.mark.parametrize(
    "same", [{"order": 7}, {"circuit": "Fan"}, {"copper_g": 99.0}, {"cut_mm": 4000.3}, {"insulation": ""}]
)
def test_what_undoes_nothing(same):
    """Another place in the order; and a list kept before insulation was written into it."""
    assert bench_changes([ROW], [replace(ROW, **same)]) == ()


def test_new_and_gone():
    other = replace(ROW, label="12.2")
    found = bench_changes([ROW], [other])
    assert [(each.label, each.kind) for each in found] == [("12.2", "new"), ("12.1", "gone")]

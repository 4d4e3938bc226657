"""Whole circuits with published answers, through the sizing as a workshop uses it."""

from collections import Counter

import pytest

from engineering.loom import WIRES, Return, Series
from engineering.loom.sizing import size_loom
from engineering.loom.wire_list import (
    Cavity,
    Component,
    Connector,
    Device,
    Ground,
    GroundKind,
    LoomList,
    Pin,
    Run,
    Supply,
    WireLine,
)

MM_PER_FOOT = 304.8


def there_and_back(amperes: float, both_ways_ft: float, drop: str) -> LoomList:
    """A load at the end of two wires of cross-linked gauge cable in air at 30 °C, fused at the supply."""
    return LoomList(
        system_v=12,
        series=Series.AWG,
        returns=Return.WIRE,
        supplies=(Supply("BAT+", "J1"),),
        grounds=(Ground("BAT-", "J1", GroundKind.BATTERY),),
        connectors=(
            Connector("F", "J1", (Cavity("1"),)),
            Connector("P", "J2", (Cavity("+"), Cavity("-"))),
        ),
        devices=(Device("F1", Pin("BAT+"), Pin("F", "1")),),
        components=(Component("Pump", Pin("P", "+"), Pin("P", "-"), amperes, drop=drop),),
        wires=(
            WireLine("out", Pin("F", "1"), Pin("P", "+"), insulation="c"),
            WireLine("back", Pin("P", "-"), Pin("BAT-"), insulation="c"),
        ),
        runs=(Run("R", "J1", "J2", both_ways_ft * MM_PER_FOOT / 2, measured_c=30),),
        tail_mm=0,
    )


def gauges(amperes: float, both_ways_ft: float, drop: str) -> tuple[str, str]:
    wires = size_loom(there_and_back(amperes, both_ways_ft, drop)).wires
    return wires["out"].size.name, wires["back"].size.name


@pytest.mark.parametrize(("drop", "gauge"), [("critical", "10 AWG"), ("other", "16 AWG")])
def test_a_boat_pump_in_a_chandlers_catalogue(drop, gauge):
    """12 V, 10 A, 11 ft out and 10 ft back: 10 AWG for 3 %, 16 AWG for 10 % (least-area basis)."""
    assert gauges(10, 21, drop) == (gauge, gauge)


FEET = (10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140, 150, 160, 170)
TABLE = {
    5: "18 16 14 12 12 10 10 10 8 8 8 6 6 6 6 6 6 6 6",
    10: "14 12 10 10 10 8 6 6 6 6 4 4 4 4 2 2 2 2 2",
    15: "12 10 10 8 8 6 6 6 4 4 2 2 2 2 2 1 1 1 1",
    20: "10 10 8 6 6 6 4 4 2 2 2 2 1 1 1 1/0 1/0 1/0 2/0",
}


def test_never_thinner_than_the_boating_table():
    """ABYC E-11 Table IX, 12 V, 3 %.

    It counts the copper at 29 °C and knows no lay of the strands, no running temperature and no fuse: we come
    out alike in 42 of 76 cells, one size thicker in 31, two in 3.
    """
    names = [wire.name for wire in WIRES[Series.AWG]]
    thicker = Counter(
        names.index(gauges(amperes, feet, "critical")[0]) - names.index(f"{printed} AWG")
        for amperes, row in TABLE.items()
        for feet, printed in zip(FEET, row.split(), strict=True)
    )
    assert thicker == {0: 42, 1: 31, 2: 3}

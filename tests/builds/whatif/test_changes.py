"""A question as lines of an address."""

from datetime import date
from decimal import Decimal

import pytest

from builds.network.changes import (
    BatchLeaves,
    DueIn,
    Express,
    ExtraPerson,
    Overtime,
    PromiseMoved,
    PulledOut,
    read_change,
    read_changes,
)

DAY = date(2027, 3, 8)


@pytest.mark.parametrize(
    "change",
    [
        ExtraPerson(3, DAY, 14, Decimal("7.5"), "Tilda Marsh: the second"),
        ExtraPerson(3, DAY, 14, Decimal(8), ""),
        Overtime(2, DAY, 14, Decimal(2)),
        BatchLeaves(1, DAY),
        PulledOut(4),
        Express(4, 3),
        DueIn(4, DAY),
        PromiseMoved(9, DAY),
    ],
    ids=lambda change: change.kind,
)
def test_a_line_gives_its_change_back(change):
    assert read_change(change.line) == change


@pytest.mark.parametrize(
    "line",
    [
        "",
        "nonsense",
        "batch",
        "batch:1",
        "batch:x:2027-03-08",
        "batch:1:2027-02-30",
        "express:4:0",
        "express:4:99999",
        "express:-4:3",
        "overtime:2:2027-03-08:14:NaN",
        "overtime:2:2027-03-08:14:0",
        "overtime:2:2027-03-08:14:25",
        "person:3:2027-03-08:14:Infinity:Tilda",
        "pull:99999999999999999999",
        "person:3:9999-12-31:14:8:Tilda",
        "batch:1:2027-03-08" + ":x" * 200,
    ],
)
def test_what_cannot_be_meant_is_no_change(line):
    assert read_change(line) is None
    assert read_changes([line, "pull:4"])[0] == (PulledOut(4),)


def test_the_same_line_twice_is_one_change():
    assert read_changes(["pull:4", "pull:4"]) == ((PulledOut(4),), ())

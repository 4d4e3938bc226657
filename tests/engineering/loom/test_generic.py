"""The generic circuits make a sound list of the size of a car's, and all of it can be sized."""

from engineering.loom.checks import check_list
from engineering.loom.codes import ColourCode, colour_of
from engineering.loom.cutting import cut_list, run_bundles
from engineering.loom.generic import GENERIC, generic_loom
from engineering.loom.sizing import size_loom


def test_the_list_is_sound_and_every_wire_gets_a_size():
    loom = generic_loom()
    assert 110 <= len(loom.wires) <= 130
    assert check_list(loom) == ()
    result = size_loom(loom)
    assert result.faults == ()
    assert set(result.wires) == {wire.label for wire in loom.wires}
    assert len(cut_list(result)) == len(loom.wires)
    assert {bundle.name for bundle in run_bundles(result)} == {run.name for run in loom.runs}


def test_some_circuits_can_be_left_out():
    some = size_loom(generic_loom(GENERIC[:3]))
    assert some.faults == ()
    assert len(some.wires) < 30


def test_colours_are_of_the_british_standard():
    assert all(colour_of(wire.colour, ColourCode.BS_AU_7) for wire in generic_loom().wires)

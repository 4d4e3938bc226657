"""Better insulation is offered where it would do with a thinner wire."""

from dataclasses import replace

from engineering.loom.advice import better_insulation
from engineering.loom.sizing import size_loom
from tests.engineering.loom.looms import small_loom, with_run


def test_a_hot_run_asks_for_cross_linked_wire():
    result = size_loom(with_run(small_loom(), "R3", measured_c=85))
    told = better_insulation(result)
    assert [suggestion.label for suggestion in told] == ["W6", "W7"]
    assert str(told[0]).startswith(
        "Wire W6: Class C, 125 °C (cross-linked), for all wires of its runs, would do"
    )
    taken = replace(result.loom, wires=tuple(replace(wire, insulation="c") for wire in result.loom.wires))
    for suggestion in told:
        assert size_loom(taken).wires[suggestion.label].size.name == suggestion.would_be


def test_a_wire_in_a_place_too_hot_for_it_is_offered_one_that_bears_it():
    told = better_insulation(size_loom(with_run(small_loom(), "R2", measured_c=95)))
    assert ("W3", "") in [(suggestion.label, suggestion.was) for suggestion in told]


def test_a_loom_that_heat_does_not_govern_is_offered_nothing():
    result = size_loom(small_loom())
    assert all(suggestion.label in ("W6", "W7") for suggestion in better_insulation(result))
    cool = with_run(with_run(small_loom(), "R1", measured_c=-20), "R3", measured_c=-20)
    assert better_insulation(size_loom(cool)) == ()

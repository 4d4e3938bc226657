"""Better insulation is offered where it would do with a thinner wire."""

from dataclasses import replace

from engineering.loom.advice import better_insulation
from engineering.loom.sizing import size_loom
from tests.engineering.loom.looms import single_circuit, small_loom, with_run


def test_a_hot_run_asks_for_cross_linked_wire():
    result = size_loom(with_run(small_loom(), "R3", measured_c=85))
    told = better_insulation(result)
    assert {suggestion.label: (suggestion.was, suggestion.would_be) for suggestion in told} == {
        "W1": ("3 mm²", "2.5 mm²"),
        "W4": ("1.5 mm²", "1 mm²"),
        "W5": ("1.5 mm²", "1 mm²"),
        "W6": ("6 mm²", "1.5 mm²"),
        "W7": ("6 mm²", "1.5 mm²"),
    }
    assert str(told[3]) == (
        "Wire W6: Class C, 125 °C (cross-linked), for all wires of its runs, would do with 1.5 mm² "
        "instead of 6 mm²."
    )
    taken = replace(result.loom, wires=tuple(replace(wire, insulation="c") for wire in result.loom.wires))
    for suggestion in told:
        assert size_loom(taken).wires[suggestion.label].size.name == suggestion.would_be


def test_a_wire_in_a_place_too_hot_for_it_is_offered_one_that_bears_it():
    told = better_insulation(size_loom(with_run(small_loom(), "R2", measured_c=95)))
    assert ("W3", "") in [(suggestion.label, suggestion.was) for suggestion in told]


def test_a_wire_that_drop_governs_is_offered_nothing():
    assert better_insulation(size_loom(single_circuit())) == ()

"""The order of operations on a route card.

The rules are the published or practised ones of fixtures/process_order.csv; each case names the source that
its row gives. What is tested here is that the check applies them, and that it says which lines and why.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.trade.cards import Card, CardLine, OrderRule, Weight
from parts.trade.check import findings
from parts.trade.order import order_findings, ring_of, sorted_lines

from .book import ORDER, card, order_rules, rows

PROCESSES = sorted({rule.before for rule in order_rules()} | {rule.after for rule in order_rules()})

WRONG_WAY_ROUND = [
    # (lines as written, weight, source as published)
    (("weld", "gas_free"), "must", "HSE INDG314"),
    (("anodise_decorative", "weld"), "must", "MIL-PRF-8625"),
    (("anodise_hard", "weld"), "must", "MIL-PRF-8625"),
    (("anodise_decorative", "bend"), "must", "MIL-A-8625F clause 6.10.5"),
    (("zinc_plate", "weld"), "must", "ISO 2081"),
    (("zinc_plate", "bend"), "must", "ISO 9588"),
    (("galvanise", "weld"), "must", "ISO 1461"),
    (("zinc_plate", "thread"), "must", "ISO 2081"),
    (("bake", "zinc_plate"), "must", "ISO 4042:2018"),
    (("passivate_zinc", "bake"), "must", "ISO 9588"),
    (("zinc_plate", "heat_treat"), "must", "ISO 9587"),
    (("press_insert", "anodise_decorative"), "must", "MIL-PRF-8625"),
    (("bond", "anodise_decorative"), "must", "ISO 7599"),
    (("bond", "powder_coat"), "must", "common practice, no source"),
    (("powder_coat", "galvanise"), "must", "EN 13438"),
    (("passivate", "weld"), "must", "ASTM A380"),
    (("electropolish", "weld"), "must", "ISO 15730"),
    (("passivate", "electropolish"), "should", "ASTM B912"),
    (("galvanise", "bend"), "should", "ISO 14713-2"),
    (("assemble", "leak_test"), "must", "HSE GS4"),
]


@pytest.mark.parametrize(("lines", "weight", "source"), WRONG_WAY_ROUND, ids=lambda value: str(value))
def test_the_wrong_way_round_is_found_and_the_right_way_is_not(
    lines: tuple[str, str], weight: str, source: str
) -> None:
    [found] = order_findings(card(*lines), ORDER.order)
    assert (found.weight, found.lines, found.on) == (weight, (1, 2), 2)
    assert source in found.source
    assert found.why
    assert found.way_out == f"Let line 1, {lines[0]}, come after line 2, {lines[1]}."
    assert not list(order_findings(card(*reversed(lines)), ORDER.order))


def test_a_rule_is_not_concluded_by_way_of_a_line_that_the_card_lacks() -> None:
    """Zinc before powder and powder before engraving does not mean zinc before engraving."""
    pairs = {(rule.before, rule.after) for rule in ORDER.order}
    assert {("zinc_plate", "powder_coat"), ("powder_coat", "engrave")} <= pairs
    assert not list(order_findings(card("engrave", "zinc_plate"), ORDER.order))


def test_each_line_that_comes_too_late_is_named_with_all_that_stand_before_it() -> None:
    found = list(order_findings(card("anodise_hard", "anodise_decorative", "weld", "weld"), ORDER.order))
    assert sorted((one.key, one.lines) for one in found) == [
        ("order:weld>anodise_decorative", (2, 3)),
        ("order:weld>anodise_decorative", (2, 4)),
        ("order:weld>anodise_hard", (1, 3)),
        ("order:weld>anodise_hard", (1, 4)),
    ]


def test_what_has_gone_out_is_history_but_warns_of_what_is_still_to_come() -> None:
    done = CardLine(1, "zinc_plate", "Zinc plate", is_gone=True)
    weld = CardLine(2, "weld", "Weld")
    [found] = order_findings(Card((done, weld)), ORDER.order)
    assert found.way_out == (
        "Line 1, zinc plate, has gone out already. "
        "Leave out line 2, weld, or add zinc plate once more after it."
    )
    assert not list(order_findings(Card((done, replace(weld, is_gone=True))), ORDER.order))


def test_the_rules_have_no_ring() -> None:
    """Asked of networkx as well."""
    graph = networkx.DiGraph((rule.before, rule.after) for rule in ORDER.order)
    assert networkx.is_directed_acyclic_graph(graph)
    assert ring_of(ORDER.order) == ()


def test_the_file_is_whole() -> None:
    """Each row names processes that a route card can have, but for the first run of the engine."""
    known = {row["key"] for row in rows("processes.csv")}
    assert {process for process in PROCESSES if process not in known} == {"first_run"}
    assert len(rows("process_order.csv")) == 164
    assert all(row["reason"] and row["source"] for row in rows("process_order.csv"))


CARDS = st.lists(st.sampled_from(PROCESSES), max_size=14)


@given(CARDS)
def test_a_card_sorted_by_the_rules_has_no_order_finding(processes: Sequence[str]) -> None:
    given_card = card(*processes)
    sorted_card = replace(given_card, lines=sorted_lines(given_card.lines, ORDER.order))
    assert sorted(sorted_card.lines, key=lambda line: line.id) == list(given_card.lines)
    assert not list(order_findings(sorted_card, ORDER.order))


@given(CARDS)
def test_a_card_without_a_finding_stays_as_it_is(processes: Sequence[str]) -> None:
    given_card = card(*processes)
    if not list(order_findings(given_card, ORDER.order)):
        assert sorted_lines(given_card.lines, ORDER.order) == given_card.lines


RULES = st.lists(
    st.tuples(st.integers(0, 6), st.integers(0, 6)).filter(lambda pair: pair[0] != pair[1]), max_size=14
)


@given(RULES)
def test_a_ring_is_found_where_networkx_finds_one(pairs: list[tuple[int, int]]) -> None:
    rules = [OrderRule(str(before), str(after), Weight.MUST, "", "") for before, after in pairs]
    ring = ring_of(rules)
    assert bool(ring) != networkx.is_directed_acyclic_graph(networkx.DiGraph(pairs))
    known = {(rule.before, rule.after) for rule in rules}
    assert all(pair in known for pair in zip(ring, (*ring[1:], *ring[:1]), strict=True))


def test_an_empty_card_has_no_finding(book: Any) -> None:
    assert findings(Card(), book) == ()

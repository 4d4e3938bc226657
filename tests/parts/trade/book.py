"""The rulebook that came with the program, read for tests without a database."""

from __future__ import annotations

import csv
from itertools import product
from pathlib import Path

from parts.trade.cards import Card, CardLine, OrderRule, Rulebook, Weight

FIXTURES = Path(__file__).parents[3] / "fixtures"
WORDS = {
    "anodise": ["anodise_decorative", "anodise_hard"],
    "zinc": ["zinc_plate"],
    "paint": ["paint", "paint_2k"],
    "ceramic_coat": ["ceramic_exhaust"],
}


def rows(name: str) -> list[dict[str, str]]:
    with (FIXTURES / name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def order_rules() -> tuple[OrderRule, ...]:
    return tuple(
        OrderRule(before, after, Weight(row["rule"]), row["reason"], row["source"])
        for row in rows("process_order.csv")
        for before, after in product(
            WORDS.get(row["before"], [row["before"]]), WORDS.get(row["after"], [row["after"]])
        )
    )


def card(*processes: str, material: str = "", features: tuple[str, ...] = (), text: str = "") -> Card:
    """card('weld', 'zinc_plate'): lines 1 and 2, named by their keys; `text` stands on each."""
    lines = tuple(CardLine(number, key, key, text) for number, key in enumerate(processes, start=1))
    return Card(lines, material, material, frozenset(features))


ORDER = Rulebook(order=order_rules())

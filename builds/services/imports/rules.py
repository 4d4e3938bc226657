"""What the rules of the trade have against route cards out of a file: told, and no reason to refuse it.

A list may describe what a workshop has done so for years. The part's page goes on telling of it until the
card is put right or a manager answers for it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from parts.models import Operation
from parts.services.trade import card_of, read_rulebook
from parts.trade.check import findings

MOST_TOLD = 12
AFTERWARDS = "It can be added all the same; the part’s page will ask for it to be put right or answered for."


def rules_broken(lines: Sequence[Operation], rows: Sequence[int], list_name: str) -> list[str]:
    """A sentence with its row for each must that a card with a new line breaks."""
    row_of = {line.pk: row for line, row in zip(lines, rows, strict=True)}
    cards: dict[int, list[Operation]] = defaultdict(list)
    wanted = Operation.objects.filter(part__in={line.part_id for line in lines})
    for line in wanted.select_related("part__material", "process").order_by("part", "sequence"):
        cards[line.part_id].append(line)
    book = read_rulebook()
    told = []
    for card in cards.values():
        for finding in findings(card_of(card[0].part, card), book):
            new = [row_of[line] for line in finding.lines if line in row_of]
            if finding.is_must and new:
                told.append((new[-1], f"“{card[0].part}”: {finding.title}. {finding.why}."))
    told.sort()
    sentences = [f"{list_name}, row {row}: {words} {AFTERWARDS}" for row, words in told[:MOST_TOLD]]
    if len(told) > MOST_TOLD:
        sentences.append(
            f"{list_name}: rules of the trade are broken in {len(told) - MOST_TOLD} more places."
        )
    return sentences

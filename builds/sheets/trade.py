"""What the rules of the trade say about a part, as its page and its forms show it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from parts.models import Operation, Overrule, Part
from parts.services.trade import (
    answers,
    card_of,
    card_with,
    part_answers,
    places_of,
    read_rulebook,
    reason_key,
    saved_card,
)
from parts.trade.cards import CardLine, Finding, Weight
from parts.trade.check import findings


@dataclass(frozen=True)
class Ruling:
    """A finding, and what a manager has said or may say to it."""

    finding: Finding
    overrule: Overrule | None = None
    reason: str = ""  # typed, not saved yet

    @property
    def name(self) -> str:
        """Of the field that takes the reason."""
        return reason_key(self.finding.on, self.finding.key)

    @property
    def field_id(self) -> str:
        return "id_" + "".join(letter if letter.isalnum() else "-" for letter in self.name)

    @property
    def blocks(self) -> bool:
        return self.finding.is_must and self.overrule is None


@dataclass(frozen=True)
class Rulings:
    """All that is said about one card."""

    rulings: tuple[Ruling, ...] = ()

    @property
    def blocking(self) -> tuple[Ruling, ...]:
        return tuple(ruling for ruling in self.rulings if ruling.blocks)

    @property
    def overruled(self) -> tuple[Ruling, ...]:
        return tuple(ruling for ruling in self.rulings if ruling.overrule is not None)

    @property
    def warning(self) -> tuple[Ruling, ...]:
        return tuple(ruling for ruling in self.rulings if not ruling.finding.is_must)


def page_rulings(part: Part, operations: Sequence[Operation]) -> Rulings:
    """For the part's page. The operations come with process and overrules; two queries for the rules."""
    overrules = [row for line in operations for row in line.overrules.all()]
    reworks = {line.pk: line.reworks_id for line in operations if line.reworks_id is not None}
    answered = answers(overrules, reworks)
    found = findings(card_of(part, operations), read_rulebook())
    shown = [Ruling(one, answered.get((one.on, one.key))) for one in found]
    # a line that went out keeps what was answered for it, though no rule speaks of it any more
    spoken_of = {ruling.overrule for ruling in shown}
    kept = (Ruling(_of_overrule(row), row) for row in overrules if row not in spoken_of)
    return Rulings((*shown, *kept))


def line_rulings(
    part: Part,
    line: CardLine,
    *,
    operation: Operation | None,
    follows: Operation | None,
    given: Mapping[str, str],
) -> Rulings:
    """For the form of a line, as it would be if it were saved now: what concerns it, or comes of it."""
    now, book = saved_card(part), read_rulebook()
    before = places_of(findings(now, book))
    found = findings(card_with(now, line, replaces=operation, follows=follows), book)
    told = [one for one in found if line.id in one.lines or (one.on, one.key) not in before]
    return Rulings(_answered(part, told, given))


def part_rulings(
    part: Part, *, material: tuple[str, str], features: Iterable[str], given: Mapping[str, str]
) -> Rulings:
    """For the form of a part, as it would be with another material (key and name) and other features."""
    card = replace(
        saved_card(part), material=material[0], material_name=material[1], features=frozenset(features)
    )
    return Rulings(_answered(part, findings(card, read_rulebook()), given))


def _answered(part: Part, found: Iterable[Finding], given: Mapping[str, str]) -> tuple[Ruling, ...]:
    answered = part_answers(part)
    return tuple(
        Ruling(one, answered.get((one.on, one.key)), given.get(reason_key(one.on, one.key), ""))
        for one in found
    )


def _of_overrule(row: Overrule) -> Finding:
    line = row.operation_id
    return Finding(row.rule, Weight.MUST, line, (line,), row.words, why="", source="", way_out="")

"""Rules of the trade over saved route cards: reading them, and what a manager answers for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone

from parts.models import MaterialVerdict, Operation, Overrule, Part, TradeRule
from parts.reference import feature_verdicts
from parts.trade.cards import Card, CardLine, Finding, OrderRule, Rulebook, Verdict, Weight
from parts.trade.check import findings

Place = tuple[int, str]  # id of the line, key of the rule


class RuleBroken(ValidationError):
    """A route card breaks rules that nobody has answered for; `findings` says which."""

    def __init__(self, broken: Iterable[Finding]) -> None:
        self.findings = tuple(broken)
        super().__init__([f"{finding.title}. {finding.why}. {finding.way_out}" for finding in self.findings])


def read_rulebook() -> Rulebook:
    """All rules and verdicts, in two queries of plain values: every page of a part asks for them."""
    rules = TradeRule.objects.order_by("before__order", "after__order").values_list(
        "before__key", "after__key", "weight", "reason", "source"
    )
    verdicts = MaterialVerdict.objects.order_by().values_list(
        "process__key", "material__key", "verdict", "reason", "source"
    )
    return Rulebook(
        order=tuple(
            OrderRule(before, after, Weight(weight), reason, source)
            for before, after, weight, reason, source in rules
        ),
        materials={(process, material): Verdict(*rest) for process, material, *rest in verdicts},
        features=feature_verdicts(),
    )


def card_of(part: Part, operations: Iterable[Operation]) -> Card:
    """The route card as the rules see it; the operations come with their process, in order.

    A rejected line that another makes good is left out: its work is undone.
    """
    lines = list(operations)
    made_good = {line.reworks_id for line in lines if line.reworks_id is not None}
    return Card(
        lines=tuple(card_line(line) for line in lines if line.pk not in made_good),
        material=part.material.key if part.material else "",
        material_name=part.material.name if part.material else "",
        features=frozenset(part.features),
    )


def card_line(line: Operation) -> CardLine:
    return CardLine(
        id=line.pk or 0,
        process=line.process.key,
        name=line.process.name,
        text=line.finish_text,
        is_gone=line.sent_on is not None,
        number=line.sequence,
    )


def card_with(
    card: Card, line: CardLine, *, replaces: Operation | None = None, follows: Operation | None = None
) -> Card:
    """The card as it would be with a line written at its place, for a look before saving.

    A line that was made good is on no card, and writing it changes nothing.
    """
    others = [other for other in card.lines if replaces is None or other.id != replaces.pk]
    if replaces is not None and len(others) == len(card.lines):
        return card
    place = sum(other.number <= follows.sequence for other in others) if follows else 0
    numbers = sorted(other.number for other in card.lines)
    if replaces is None:
        numbers.append(numbers[-1] + 1 if numbers else 1)
    wanted = (*others[:place], line, *others[place:])
    # as saving would number them
    lines = tuple(replace(one, number=number) for one, number in zip(wanted, numbers, strict=True))
    return replace(card, lines=lines)


def saved_card(part: Part) -> Card:
    """The part's route card as it stands in the database."""
    saved = Part.objects.select_related("material").get(pk=part.pk)
    return card_of(saved, saved.operations.select_related("process").order_by("sequence"))


def places_of(found: Iterable[Finding]) -> set[Place]:
    return {(finding.on, finding.key) for finding in found}


def fresh_findings(part: Part, before: Iterable[Finding], book: Rulebook) -> tuple[Finding, ...]:
    """What the rules have against the card after a change and had not before.

    Call it inside the transaction that changed the card. An overrule of a line that is still to do and
    whose rule has nothing against it any more is withdrawn.
    """
    now = findings(saved_card(part), book)
    standing = places_of(now)
    for row in Overrule.objects.filter(operation__part=part, operation__sent_on__isnull=True):
        if (row.operation_id, row.rule) not in standing:
            row.delete()
    known = places_of(before)
    return tuple(finding for finding in now if (finding.on, finding.key) not in known)


def overrules_settle(
    *,
    part: Part,
    fresh: Iterable[Finding],
    standing: Iterable[Finding] = (),
    reasons: Mapping[str, str],
    by: Any,
    new_line: Operation | None = None,
) -> None:
    """Keep a manager's reason for each must that a card breaks, inside the transaction that changed it.

    What is `fresh` needs one; what was `standing` already may be given one. `reasons` go by `reason_key`; the
    person who wrote `new_line` knew it by the number 0.

    Raises RuleBroken with all that nobody gave a reason for, ValidationError if somebody else than a
    manager gave one.
    """
    answered = part_answers(part)
    broken = []
    for finding, is_fresh in (*((one, True) for one in fresh), *((one, False) for one in standing)):
        if not finding.is_must or (finding.on, finding.key) in answered:
            continue
        known_as = 0 if new_line is not None and finding.on == new_line.pk else finding.on
        reason = " ".join(reasons.get(reason_key(known_as, finding.key), "").split())
        if reason:
            _overrule(finding, reason, by)
        elif is_fresh:
            broken.append(finding)
    if broken:
        raise RuleBroken(broken)


def check_answered(line: Operation) -> None:
    """Raise RuleBroken if a line breaks a must for which no manager has given a reason."""
    found = findings(saved_card(line.part), read_rulebook())
    against = [finding for finding in found if finding.on == line.pk and finding.is_must]
    if against:
        answered = part_answers(line.part)
        broken = [finding for finding in against if (finding.on, finding.key) not in answered]
        if broken:
            raise RuleBroken(broken)


def answers(overrules: Iterable[Overrule], reworks: Mapping[int, int]) -> dict[Place, Overrule]:
    """What has been answered for, by line and rule.

    `reworks` gives the rejected line that each rework makes good: what was answered for the one holds for
    the other.
    """
    found = {(row.operation_id, row.rule): row for row in overrules}
    for line, rejected in sorted(reworks.items()):  # a rework is younger than what it makes good
        for (place, rule), row in list(found.items()):
            if place == rejected:
                found.setdefault((line, rule), row)
    return found


def part_answers(part: Part) -> dict[Place, Overrule]:
    """As `answers`, of one part; two queries."""
    reworks = part.operations.filter(reworks__isnull=False).values_list("pk", "reworks_id")
    rows = Overrule.objects.filter(operation__part=part).select_related("by")
    return answers(rows, dict(reworks))


def reason_key(line_id: int, rule: str) -> str:
    """The name under which a form sends the reason for overruling a rule."""
    return f"because-{line_id}-{rule}"


def _overrule(finding: Finding, reason: str, by: Any) -> None:
    if by is None or not by.is_manager:
        raise ValidationError("Only a manager overrules a rule of the trade.")
    row = Overrule(
        operation_id=finding.on,
        rule=finding.key,
        words=f"{finding.title}: {finding.why} ({finding.source})",
        reason=reason,
        by=by,
        at=timezone.now(),
    )
    row.full_clean()
    row.save()

"""Rules of the trade over saved route cards: reading them, and what a manager answers for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
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
    """All rules and verdicts, in two queries."""
    rules = TradeRule.objects.select_related("before", "after").order_by(
        "before__order", "after__order", "pk"
    )
    verdicts = MaterialVerdict.objects.select_related("process", "material")
    return Rulebook(
        order=tuple(
            OrderRule(rule.before.key, rule.after.key, Weight(rule.weight), rule.reason, rule.source)
            for rule in rules
        ),
        materials={
            (row.process.key, row.material.key): Verdict(row.verdict, row.reason, row.source)
            for row in verdicts
        },
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
    )


def part_findings(part: Part, book: Rulebook) -> tuple[Finding, ...]:
    """What the rules have against the part as it is saved now."""
    saved = Part.objects.select_related("material").get(pk=part.pk)
    lines = saved.operations.select_related("process").order_by("sequence")
    return findings(card_of(saved, lines), book)


def places_of(found: Iterable[Finding]) -> set[Place]:
    return {(finding.on, finding.key) for finding in found}


def overrules_settle(
    *,
    part: Part,
    before: Iterable[Finding],
    book: Rulebook,
    reasons: Mapping[str, str],
    by: Any,
    line: Operation | None = None,
) -> tuple[Finding, ...]:
    """Judge a route card after it was changed, inside the transaction that changed it.

    What it breaks now and did not break `before` needs a manager's reason: `reasons` by `reason_key`. It is
    kept with the line. An overrule that the change has made empty is withdrawn. `line` is the new line, which
    the person who wrote it knew by the number 0. Gives what warns and was not there before.

    Raises RuleBroken with all that nobody gave a reason for, ValidationError if somebody else than a
    manager gave one.
    """
    now = part_findings(part, book)
    Overrule.objects.filter(operation__part=part, operation__sent_on__isnull=True).exclude(
        pk__in=[
            row.pk
            for row in Overrule.objects.filter(operation__part=part)
            if (row.operation_id, row.rule) in places_of(now)
        ]
    ).delete()
    fresh = [finding for finding in now if (finding.on, finding.key) not in places_of(before)]
    broken = []
    for finding in (finding for finding in fresh if finding.is_must):
        is_new = line is not None and finding.on == line.pk
        reason = " ".join(reasons.get(reason_key(finding, 0 if is_new else finding.on), "").split())
        if reason:
            _overrule(finding, reason, by)
        else:
            broken.append(finding)
    if broken:
        raise RuleBroken(broken)
    return tuple(finding for finding in fresh if not finding.is_must)


def reason_key(finding: Finding, on: int | None = None) -> str:
    """The name under which a form sends the reason for overruling a finding."""
    return f"because-{finding.on if on is None else on}-{finding.key}"


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

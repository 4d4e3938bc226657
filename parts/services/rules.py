"""The workshop's own rules of the trade. What came with the program is read and never written."""

from __future__ import annotations

import hashlib
from itertools import pairwise

from django.core.exceptions import ValidationError
from django.db import transaction

from parts.models import Material, MaterialVerdict, Process, TradeRule
from parts.reference import reference_verdicts
from parts.trade.cards import OrderRule, Weight
from parts.trade.order import ring_of

OWN_SOURCE = "the workshop’s own rule"


def seen_of(*texts: str) -> str:
    """A short mark of what a row says, so that the second of two editors can be told."""
    return hashlib.sha256("\x1f".join(texts).encode()).hexdigest()[:16]


def rule_seen(rule: TradeRule) -> str:
    return seen_of(rule.weight, rule.reason, rule.source)


def verdict_seen(row: MaterialVerdict) -> str:
    return seen_of(row.verdict, row.reason, row.source)


def is_own_verdict(row: MaterialVerdict) -> bool:
    """Whether the workshop wrote it; the row comes with its process and material."""
    return reference_verdicts().get((row.process.key, row.material.key)) != row.reason


@transaction.atomic
def rule_add(*, before: Process, after: Process, weight: str, reason: str, source: str = "") -> TradeRule:
    """Add a rule of the workshop's own.

    Raises ValidationError if there is one for the two processes already, or if processes would then each
    have to come before the next, round in a ring.
    """
    rule = TradeRule(before=before, after=after, weight=weight, is_own=True)
    rule.reason, rule.source = _words(reason), _words(source) or OWN_SOURCE
    other = TradeRule.objects.filter(before=after, after=before).first()
    if other is not None:
        raise ValidationError(
            f"There is a rule already that says the opposite: {other.before.name} {other.weight} come before "
            f"{other.after.name}, because: {other.reason}."
        )
    rule.full_clean()
    rule.save()
    _check_ring()
    return rule


@transaction.atomic
def rule_change(*, rule: TradeRule, seen: str, weight: str, reason: str, source: str = "") -> TradeRule:
    """Change a rule of the workshop's own that looked like `seen` when it was opened."""
    now = _own_rule(rule)
    _check_seen(rule_seen(now), seen)
    now.weight, now.reason, now.source = weight, _words(reason), _words(source) or OWN_SOURCE
    now.full_clean()
    now.save()
    return now


@transaction.atomic
def rule_remove(*, rule: TradeRule) -> None:
    _own_rule(rule).delete()


@transaction.atomic
def verdict_add(
    *, process: Process, material: Material, verdict: str, reason: str, source: str = ""
) -> MaterialVerdict:
    """Add what the workshop knows of a finish on a material. Raises ValidationError if something is known."""
    if not process.is_finish:
        raise ValidationError({"process": f"{process} is no finish; only finishes are judged by material."})
    there = MaterialVerdict.objects.filter(process=process, material=material).first()
    if there is not None:
        raise ValidationError(
            f"That is known already: {there.get_verdict_display()}, because: {there.reason}."
        )
    row = MaterialVerdict(process=process, material=material, verdict=verdict)
    row.reason, row.source = _words(reason), _words(source) or OWN_SOURCE
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def verdict_change(
    *, row: MaterialVerdict, seen: str, verdict: str, reason: str, source: str = ""
) -> MaterialVerdict:
    """Change a verdict of the workshop's own that looked like `seen` when it was opened."""
    now = _own_verdict(row)
    _check_seen(verdict_seen(now), seen)
    now.verdict, now.reason, now.source = verdict, _words(reason), _words(source) or OWN_SOURCE
    now.full_clean()
    now.save()
    return now


@transaction.atomic
def verdict_remove(*, row: MaterialVerdict) -> None:
    _own_verdict(row).delete()


def _own_rule(rule: TradeRule) -> TradeRule:
    now = TradeRule.objects.select_for_update().filter(pk=rule.pk).first()
    if now is None:
        raise ValidationError("Somebody has removed this rule in the meantime.")
    if not now.is_own:
        raise ValidationError("This rule came with the program and is not changed here. Add one of your own.")
    return now


def _own_verdict(row: MaterialVerdict) -> MaterialVerdict:
    found = MaterialVerdict.objects.select_for_update().select_related("process", "material")
    now = found.filter(pk=row.pk).first()
    if now is None:
        raise ValidationError("Somebody has removed this in the meantime.")
    if not is_own_verdict(now):
        raise ValidationError("This came with the program and is not changed here.")
    return now


def _check_seen(now: str, seen: str) -> None:
    if now != seen:
        raise ValidationError(
            "This was changed by somebody else meanwhile. Nothing of yours was saved: "
            "open it afresh and make your change again."
        )


def _check_ring() -> None:
    rows = list(TradeRule.objects.select_related("before", "after"))
    names = {process.key: process.name for row in rows for process in (row.before, row.after)}
    ring = ring_of(
        OrderRule(row.before.key, row.after.key, Weight(row.weight), row.reason, row.source) for row in rows
    )
    if ring:
        steps = ", ".join(f"{names[one]} before {names[other]}" for one, other in pairwise((*ring, ring[0])))
        raise ValidationError(f"No order could keep all rules any more: {steps}.")


def _words(text: str) -> str:
    return " ".join(text.split())

"""What is typed about the workshop's own rules of the trade."""

from __future__ import annotations

from typing import Any

from django import forms

from parts.models import Material, MaterialVerdict, Process, TradeRule
from parts.services.rules import rule_seen, verdict_seen


def reason() -> forms.CharField:
    return forms.CharField(label="Why", max_length=400, widget=forms.Textarea(attrs={"rows": 2}))


def source() -> forms.CharField:
    return forms.CharField(
        label="Source",
        max_length=200,
        required=False,
        help_text="A standard, a data sheet, a supplier. Empty: the workshop’s own rule.",
    )


class RuleForm(forms.Form):
    before = forms.ModelChoiceField(
        label="This comes first", queryset=Process.objects.order_by("name"), empty_label="choose one"
    )
    after = forms.ModelChoiceField(
        label="and this afterwards", queryset=Process.objects.order_by("name"), empty_label="choose one"
    )
    weight = forms.ChoiceField(
        label="How hard",
        choices=[("must", "must: blocks"), ("should", "should: warns")],
    )
    reason = reason()
    source = source()
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=16)

    def __init__(self, *args: Any, rule: TradeRule | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if rule is not None:
            # the pair is what the rule is; another pair is another rule
            del self.fields["before"], self.fields["after"]
            self.initial |= {
                "weight": rule.weight,
                "reason": rule.reason,
                "source": rule.source,
                "seen": rule_seen(rule),
            }


class VerdictForm(forms.Form):
    process = forms.ModelChoiceField(
        label="Finish", queryset=Process.objects.finishes().order_by("name"), empty_label="choose one"
    )
    material = forms.ModelChoiceField(queryset=Material.objects.all(), empty_label="choose one")
    verdict = forms.ChoiceField(
        label="Takes it",
        choices=[("no", "no: blocks"), ("care", "with care: warns"), ("ok", "yes")],
    )
    reason = reason()
    source = source()
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=16)

    def __init__(self, *args: Any, row: MaterialVerdict | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if row is not None:
            del self.fields["process"], self.fields["material"]
            self.initial |= {
                "verdict": row.verdict,
                "reason": row.reason,
                "source": row.source,
                "seen": verdict_seen(row),
            }

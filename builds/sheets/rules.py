"""The rules of the trade as the settings page shows them."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q

from parts.models import MaterialVerdict, Operation, Overrule, Part, Process, TradeRule
from parts.reference import feature_verdicts
from parts.services.rules import is_own_verdict
from parts.services.trade import answers, card_of, read_rulebook
from parts.trade.cards import Finding, Verdict
from parts.trade.check import findings
from parts.trade.spoils import ADHESIVE_LIMIT_C

# What the check knows beside the tables; each says so with its source where it speaks.
BUILT_IN = (
    f"Heat above {ADHESIVE_LIMIT_C} °C must not come after bonding.",
    "Fasteners 12.9, spring steel and high-strength steel must be baked after plating; class 10.9 should.",
    "Anodising and zinc are never on one part; of zinc plating and galvanising, one is enough.",
    "Threads should be cleared after galvanising.",
    "Powder and galvanising make no sense on a polished part.",
)
EVERYTHING = "all"


@dataclass(frozen=True)
class VerdictLine:
    """Materials of which the same is known; each of the workshop's own rows stands alone."""

    row: MaterialVerdict
    is_own: bool
    materials: tuple[str, ...]


@dataclass(frozen=True)
class FeatureLine:
    process: Process
    feature: str
    verdict: Verdict


@dataclass(frozen=True)
class BrokenLine:
    """A must that a route card breaks and that nobody has answered for."""

    part: Part
    finding: Finding


@dataclass(frozen=True)
class RulesSheet:
    """What is shown for one process, for all, or (nothing chosen) only what the workshop wrote."""

    chosen: str
    processes: tuple[Process, ...]
    rules: tuple[TradeRule, ...]
    verdicts: tuple[VerdictLine, ...]
    features: tuple[FeatureLine, ...]
    rules_known: int
    verdicts_known: int
    broken: tuple[BrokenLine, ...]
    built_in: tuple[str, ...] = BUILT_IN


def read_rules(chosen: str) -> RulesSheet:
    """Eight queries whatever is shown. A process that is not there shows what is the workshop's own."""
    processes = {process.key: process for process in Process.objects.order_by("name")}
    if chosen != EVERYTHING and chosen not in processes:
        chosen = ""
    rules = TradeRule.objects.select_related("before", "after")
    if chosen != EVERYTHING:
        rules = rules.filter(Q(before__key=chosen) | Q(after__key=chosen) | Q(is_own=True))
    verdicts = MaterialVerdict.objects.select_related("process", "material").order_by(
        "process__order", "material__order"
    )
    known = list(verdicts)
    return RulesSheet(
        chosen=chosen,
        processes=tuple(processes.values()),
        rules=tuple(rules.order_by("-is_own", "before__order", "after__order")),
        verdicts=_verdict_lines(chosen, known),
        features=_features(chosen, processes),
        rules_known=TradeRule.objects.count(),
        verdicts_known=len(known),
        broken=broken_lines(),
    )


def broken_lines() -> tuple[BrokenLine, ...]:
    """Over all cars that are not handed over: as after an import, or when a new rule was added."""
    lines = Operation.objects.filter(part__car__handed_over_on__isnull=True)
    cards: dict[int, list[Operation]] = {}
    for line in lines.select_related("part__car", "part__material", "process").order_by(
        "part__car__name", "part__name", "part", "sequence"
    ):
        cards.setdefault(line.part_id, []).append(line)
    reworks = {line.pk: line.reworks_id for card in cards.values() for line in card if line.reworks_id}
    answered = answers(Overrule.objects.all(), reworks)
    book = read_rulebook()
    return tuple(
        BrokenLine(card[0].part, finding)
        for card in cards.values()
        for finding in findings(card_of(card[0].part, card), book)
        if finding.is_must and (finding.on, finding.key) not in answered
    )


def _verdict_lines(chosen: str, rows: list[MaterialVerdict]) -> tuple[VerdictLine, ...]:
    """The workshop's own first."""
    own = [VerdictLine(row, True, (row.material.name,)) for row in rows if is_own_verdict(row)]
    groups: dict[tuple[int, str, str, str], list[MaterialVerdict]] = {}
    for row in rows:
        if chosen in (EVERYTHING, row.process.key) and not is_own_verdict(row):
            key = (row.process_id, row.verdict, row.reason, row.source)
            groups.setdefault(key, []).append(row)
    alike = (
        VerdictLine(group[0], False, tuple(row.material.name for row in group)) for group in groups.values()
    )
    return (*own, *alike)


def _features(chosen: str, processes: dict[str, Process]) -> tuple[FeatureLine, ...]:
    names = dict(Part.Feature.choices)
    return tuple(
        FeatureLine(processes[key], str(names[feature]), verdict)
        for (key, feature), verdict in feature_verdicts().items()
        if key in processes and chosen in (EVERYTHING, key)
    )

"""Reference data of the trade: processes, materials, which material takes which finish, and what comes first.

The files stand in `fixtures/`; a workshop extends them with its own rows, which are never overwritten.
"""

import csv
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import product
from pathlib import Path

from django.conf import settings
from django.db import transaction

from parts.trade.cards import Feature, Verdict

from .models import Material, MaterialVerdict, Process, TradeRule

# A row for a whole family holds for each member that has no closer row of its own.
FAMILIES = {
    "al_any": "al_",
    "steel_any": "steel_",
    "stainless_any": "stainless_",
}
# What a rule of the order calls by one word and a route card by several.
RULE_WORDS = {
    "anodise": ("anodise_decorative", "anodise_hard"),
    "zinc": ("zinc_plate",),
    "paint": ("paint", "paint_2k"),
    # the reasons of these rows are about exhausts; a thin film is another coat
    "ceramic_coat": ("ceramic_exhaust",),
}
# Rows about the car, not about a part on its way: a route card has no such line.
NOT_ON_A_CARD = {"first_run"}
# Rows of finish_materials.csv that speak of a feature, in the words of the part's form.
FEATURE_ROWS = {
    "feature:steel_insert_or_stud": Feature.STEEL_INSERT,
    "feature:lap_joint_or_seam": Feature.LAPPED,
    "feature:lap_joint_spot_weld": Feature.LAPPED,
    "feature:overlapping_plates": Feature.LAPPED,
    "feature:crevice_or_lap": Feature.LAPPED,
    "feature:closed_hollow_section": Feature.SEALED,
    "feature:closed_tube": Feature.SEALED,
    "feature:sealed_hollow": Feature.SEALED,
    "feature:sealed_air_space": Feature.SEALED,
    "feature:vented_hollow": Feature.VENTED,
    "feature:bonded_joint": Feature.BONDED,
    "feature:adhesive_joint": Feature.BONDED,
    "steel_over_340HV": Feature.HIGH_STRENGTH,
    "spring_or_hardened_steel": Feature.HIGH_STRENGTH,
}
WORDING = ("weight", "reason", "source")
# The file says these once, for the decorative bath; the hard bath is acid as well.
SAME_BATH = ("anodise_decorative", "anodise_hard")


def _rows(name: str) -> Iterator[dict[str, str]]:
    with (Path(settings.BASE_DIR) / "fixtures" / name).open(newline="", encoding="utf-8") as file:
        yield from csv.DictReader(file)


@transaction.atomic
def reference_load() -> None:
    """Add what is missing; leave alone what the workshop has changed. Safe to run again."""
    Process.objects.bulk_create(
        [Process(order=order, **row) for order, row in enumerate(_rows("processes.csv"))],
        ignore_conflicts=True,
    )
    Material.objects.bulk_create(
        [Material(order=order, **row) for order, row in enumerate(_rows("materials.csv"))],
        ignore_conflicts=True,
    )
    MaterialVerdict.objects.bulk_create(_verdicts(), ignore_conflicts=True)
    _rules_load()


@cache
def feature_verdicts() -> Mapping[tuple[str, str], Verdict]:
    """What each finish does to a feature of a part, by process key and feature."""
    found: dict[tuple[str, str], Verdict] = {}
    for row in _rows("finish_materials.csv"):
        feature = FEATURE_ROWS.get(row["material"])
        if feature is not None:
            found[row["finish"], feature] = Verdict(row["verdict"], row["reason"], row["source"])
    decorative, hard = SAME_BATH
    for (process, feature), verdict in list(found.items()):
        if process == decorative:
            source = f"{verdict.source} (of decorative anodising; the hard bath is acid as well)"
            found.setdefault((hard, feature), Verdict(verdict.verdict, verdict.reason, source))
    return found


@cache
def reference_verdicts() -> Mapping[tuple[str, str], str]:
    """The reason of each verdict that came with the program, by process key and material key."""
    materials = [row["key"] for row in _rows("materials.csv")]
    processes = {row["key"] for row in _rows("processes.csv")}
    return {(row["finish"], key): row["reason"] for row, key in _spread(processes, materials)}


def _rules_load() -> None:
    """Nobody can change a rule that came with the program, so a better wording of it comes in too."""
    there = {(rule.before_id, rule.after_id): rule for rule in TradeRule.objects.filter(is_own=False)}
    rules = _rules()
    TradeRule.objects.bulk_create(rules, ignore_conflicts=True)
    reworded = []
    for rule in rules:
        old = there.get((rule.before_id, rule.after_id))
        if old is not None and any(getattr(old, name) != getattr(rule, name) for name in WORDING):
            for name in WORDING:
                setattr(old, name, getattr(rule, name))
            reworded.append(old)
    TradeRule.objects.bulk_update(reworded, WORDING)


def _rules() -> list[TradeRule]:
    processes = {process.key: process for process in Process.objects.all()}
    return [
        TradeRule(
            before=processes[before],
            after=processes[after],
            weight=row["rule"],
            reason=row["reason"],
            source=row["source"],
            is_own=False,
        )
        for row in _rows("process_order.csv")
        for before, after in product(_called(row["before"]), _called(row["after"]))
        if before in processes and after in processes
    ]


def _called(word: str) -> tuple[str, ...]:
    """The keys of the processes that a rule means."""
    return () if word in NOT_ON_A_CARD else RULE_WORDS.get(word, (word,))


def _verdicts() -> list[MaterialVerdict]:
    processes = {process.key: process for process in Process.objects.all()}
    materials = {material.key: material for material in Material.objects.all()}
    return [
        MaterialVerdict(
            process=processes[row["finish"]],
            material=materials[key],
            verdict=row["verdict"],
            reason=row["reason"],
            source=row["source"],
        )
        for row, key in _spread(set(processes), list(materials))
    ]


def _spread(processes: set[str], materials: list[str]) -> list[tuple[dict[str, str], str]]:
    """Each row with each material that it holds for."""
    rows = [row for row in _rows("finish_materials.csv") if row["finish"] in processes]
    closer = {(row["finish"], row["material"]) for row in rows}
    return [
        (row, key)
        for row in rows
        for key in _members(row["material"], materials)
        if key == row["material"] or (row["finish"], key) not in closer
    ]


def _members(key: str, materials: list[str]) -> list[str]:
    if key in FAMILIES:
        return [name for name in materials if name.startswith(FAMILIES[key])]
    return [key] if key in materials else []

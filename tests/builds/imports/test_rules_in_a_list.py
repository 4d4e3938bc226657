"""A parts list is told by row what the rules of the trade have against it, and comes in all the same."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from builds.models import Car
from parts.models import Operation, Overrule, Part

LIST = """part;material;surface (m²);features;seen together with;process;lead time
Bracket;Mild steel;0,45;vented; engine  bay ;Zinc plate;5
Bracket;;;;;Weld;3
Bolts;Fasteners 12.9;120 cm2;High strength;;Zinc plate;5
Plate;Mild steel;;;;Weld;3
Plate;;;;;Zinc plate;5
"""


def test_features_surface_and_colour_set_come_in(tern: Car, add: Callable[..., Any]) -> None:
    add(tern, parts=LIST)
    bracket, bolts = Part.objects.get(name="Bracket"), Part.objects.get(name="Bolts")
    assert (bracket.area_m2, bracket.features, bracket.colour_set) == (
        Decimal("0.45"),
        ["vented"],
        "engine bay",
    )
    assert (bolts.area_m2, bolts.features) == (Decimal("0.012"), ["high strength"])


def test_a_broken_must_is_told_by_row_and_does_not_block(
    tern: Car, preview: Callable[..., Any], add: Callable[..., Any]
) -> None:
    plan = preview(tern, parts=LIST)
    assert [note.split(". ")[0] for note in plan.notes] == [
        "Parts list, row 3: “Bracket”: Weld must come before zinc plate",
        "Parts list, row 4: “Bolts”: Zinc plate: high-strength steel must be baked afterwards",
    ]
    assert all(note.endswith("put right or answered for.") for note in plan.notes)
    assert plan.can_be_added
    assert not Operation.objects.exists()
    add(tern, parts=LIST)
    assert (Operation.objects.count(), Overrule.objects.count()) == (5, 0)


def test_an_unknown_feature_is_refused_by_row(tern: Car, preview: Callable[..., Any]) -> None:
    for word, says in (("gold", "“gold” is not known"), ("sealed; vented", "either sealed or have vent")):
        plan = preview(tern, parts=LIST.replace("vented", f'"{word}"', 1))
        assert len(plan.faults) == 1
        assert "row 2" in str(plan.faults[0]) or plan.faults[0].row == 2
        assert says in plan.faults[0].text
    assert not Part.objects.exists()

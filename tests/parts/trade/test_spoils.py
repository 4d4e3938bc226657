"""What a finish does to a material, a feature, a bonded joint, hard steel.

Expected verdicts and their sources are those of the standards and guides named in each case, as
fixtures/finish_materials.csv and the limits in the core quote them.
"""

from __future__ import annotations

from typing import Any

import pytest

from parts.models import Part
from parts.reference import FEATURE_ROWS
from parts.trade.cards import Feature, Rulebook
from parts.trade.check import findings
from parts.trade.spoils import FEATURE_NAMES, bake_findings, heat_findings

from .book import ORDER, card, rows

GAA = "Galvanizers Association of Australia"
CASES = [
    # (card, key of the one finding, weight, source)
    (card("galvanise", features=("sealed",)), "feature:galvanise+sealed", "must", GAA),
    (card("anodise_decorative", material="steel_mild"), "material:anodise_decorative+steel_mild", "must", ""),
    (
        card("anodise_decorative", material="al_cast_si_over_8"),
        "material:anodise_decorative+al_cast_si_over_8",
        "must",
        "Metal Finishing Guidebook 2012-13",
    ),
    (
        card("anodise_decorative", material="al_2xxx"),
        "material:anodise_decorative+al_2xxx",
        "should",
        "Metal Finishing Guidebook 2012-13",
    ),
    (card("galvanise", material="fastener_12_9"), "material:galvanise+fastener_12_9", "must", "ISO 10684"),
    (card("passivate", material="steel_mild"), "material:passivate+steel_mild", "must", "common practice"),
    (card("powder_coat", material="carbon_fibre"), "material:powder_coat+carbon_fibre", "must", ""),
    (
        card("anodise_decorative", features=("steel insert",)),
        "feature:anodise_decorative+steel-insert",
        "must",
        "MIL-PRF-8625",
    ),
    (
        card("anodise_hard", features=("steel insert",)),
        "feature:anodise_hard+steel-insert",
        "must",
        "common practice",
    ),
    (
        card("anodise_decorative", features=("lapped",)),
        "feature:anodise_decorative+lapped",
        "must",
        "lap joints",
    ),
    (card("anodise_hard", features=("lapped",)), "feature:anodise_hard+lapped", "must", "the hard bath"),
    (card("powder_coat", features=("bonded",)), "feature:powder_coat+bonded", "must", "common practice"),
    (card("powder_coat", features=("sealed",)), "feature:powder_coat+sealed", "should", "common practice"),
    (card("zinc_plate", features=("sealed",)), "feature:zinc_plate+sealed", "must", "common practice"),
    (card("galvanise", features=("bonded",)), "heat:galvanise+bonded", "must", "from memory"),
    (card("bond", "heat_treat"), "heat:heat_treat+bonded", "must", "from memory"),
    (card("bond", "powder_coat"), "order:powder_coat>bond", "must", "common practice"),
    (card("zinc_plate", features=("high strength",)), "bake:zinc_plate+high-strength", "must", "ISO 9588"),
    (card("nickel_chrome", material="spring"), "bake:nickel_chrome+spring", "must", "ISO 9588"),
    (card("thread", "galvanise"), "retap:galvanise", "should", "ISO 10684"),
    (card("polish", "powder_coat"), "apart:polish+powder_coat", "should", "common practice"),
    (card("anodise_hard", "zinc_plate"), "apart:anodise_hard+zinc_plate", "must", "common practice"),
]


@pytest.mark.parametrize(("made", "key", "weight", "source"), CASES, ids=[case[1] for case in CASES])
def test_what_spoils_is_found_with_its_source(
    book: Any, made: Any, key: str, weight: str, source: str
) -> None:
    [found] = findings(made, book)
    assert (found.key, found.weight) == (key, weight)
    assert source in found.source
    assert found.why
    assert found.way_out


@pytest.mark.parametrize(
    "made",
    [
        card("galvanise", material="steel_mild", features=("vented",)),
        card("anodise_decorative", material="al_6xxx"),
        card("anodise_decorative", "press_insert", features=("steel insert",)),
        card("powder_coat", "bond", features=("bonded",)),
        card("thread", "galvanise", "retap"),
        card("zinc_plate", "bake", features=("high strength",)),
        card("zinc_plate", features=("high strength",), text="8 µm, baked 4 h at 200 °C"),
        card("zinc_plate", material="fastener_8_8"),
        card("supply"),
        card("weld", "anodise_decorative"),
    ],
    ids=lambda made: "-".join(line.process for line in made.lines),
)
def test_what_is_right_passes(book: Any, made: Any) -> None:
    assert findings(made, book) == ()


def test_class_12_9_must_be_baked_and_class_10_9_only_by_agreement(book: Any) -> None:
    """ISO 4042:2018: above 390 HV baking is required; 360 to 390 HV not if the process is verified."""
    assert [
        (one.key, one.weight) for one in findings(card("zinc_plate", material="fastener_12_9"), book)
    ] == [
        ("bake:zinc_plate+fastener_12_9", "must"),
        ("material:zinc_plate+fastener_12_9", "should"),
    ]
    hard = card("zinc_plate", material="fastener_10_9", features=("high strength",))
    assert [one.weight for one in bake_findings(hard)] == ["should"]


@pytest.mark.parametrize("text", ["no bake", "not baked", "without baking", "unbaked", "not to be baked"])
def test_words_against_baking_do_not_count_as_baking(text: str) -> None:
    assert list(bake_findings(card("zinc_plate", features=("high strength",), text=text)))


def test_a_bake_before_the_plating_does_not_count() -> None:
    found = findings(card("bake", "zinc_plate", material="fastener_12_9"), ORDER)
    assert [one.key for one in found] == ["order:zinc_plate>bake", "bake:zinc_plate+fastener_12_9"]


def test_heat_after_bonding_is_told_once() -> None:
    """The order says it for powder; for heat treatment only the limit of the adhesive does."""
    assert not list(heat_findings(card("bond", "powder_coat"), ORDER))
    [found] = heat_findings(card("bond", "powder_coat"), Rulebook())
    assert found.lines == (1, 2)


def test_the_form_and_the_core_speak_of_the_same_features() -> None:
    assert set(Part.Feature.values) == set(Feature)
    assert set(FEATURE_ROWS.values()) == set(Feature)
    assert set(FEATURE_NAMES) == set(Feature)
    named = {row["material"] for row in rows("finish_materials.csv")}
    assert set(FEATURE_ROWS) <= named


def test_what_blocks_comes_first(book: Any) -> None:
    made = card("thread", "galvanise", "weld", features=("sealed",))
    assert [one.weight for one in findings(made, book)] == ["must", "must", "should", "should"]

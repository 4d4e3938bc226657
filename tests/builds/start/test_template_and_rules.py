"""The build template against the rules of the trade: no card of it breaks one."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from builds.services.start import build_template, car_start_from_template
from parts.models import Operation, Part
from parts.services.trade import card_of, read_rulebook
from parts.trade.check import findings


def test_no_card_of_the_template_breaks_a_must(workshop: Any, manager: Any) -> None:
    car = car_start_from_template(
        name="Gannet", description="", by=manager, today=timezone.localdate(), suppliers={}
    )
    book = read_rulebook()
    parts = Part.objects.filter(car=car).select_related("material").prefetch_related("operations__process")
    found = {part.name: findings(card_of(part, part.operations.all()), book) for part in parts}
    assert (
        sum(len(card) > 0 for card in found.values()) > 0
    )  # 'with care' is told of some: the check is awake
    assert {name: [one.key for one in card if one.is_must] for name, card in found.items() if card} == {
        "Fuel tank": [],
        "Uprights": [],
    }


def test_the_template_would_be_caught_if_it_broke_one(workshop: Any, manager: Any, process: Any) -> None:
    car = car_start_from_template(
        name="Gannet", description="", by=manager, today=timezone.localdate(), suppliers={}
    )
    tank = Part.objects.select_related("material").get(car=car, name="Fuel tank")
    last = tank.operations.order_by("sequence").last()
    Operation.objects.filter(pk=last.pk).update(process=process("zinc_plate"))
    lines = tank.operations.select_related("process").order_by("sequence")
    assert [one.key for one in findings(card_of(tank, lines), read_rulebook()) if one.is_must] == [
        "material:zinc_plate+al_5xxx_high_mg"
    ]


def test_surface_features_and_colour_sets_come_with_the_template(workshop: Any, manager: Any) -> None:
    car = car_start_from_template(
        name="Gannet", description="", by=manager, today=timezone.localdate(), suppliers={}
    )
    for key in ("subframe", "dash_blank", "inlet_manifold"):
        said = build_template().parts[key]
        part = Part.objects.get(car=car, name=said.name)
        assert (part.area_m2, tuple(part.features), part.colour_set) == (
            said.area_m2,
            said.features,
            said.colour_set,
        )
    assert Part.objects.get(car=car, name="Front subframe").features == ["vented"]
    assert set(Part.objects.filter(car=car, colour_set="dash").values_list("name", flat=True)) == {
        "Dash panel",
        "Switch panel and plates",
    }

"""A route card is held to the rules of the trade while it is written; a manager may answer for it."""

from __future__ import annotations

from html import unescape
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from builds.services.route_cards import line_strike_out, line_write, part_write
from parts.models import Material, Operation, Overrule, Part
from parts.services.operations import operation_reject, operation_send
from parts.services.parts import LineWording
from parts.services.trade import RuleBroken

WELD_FIRST = "order:weld>zinc_plate"


@pytest.fixture
def line_data(process: Any) -> dict[str, Any]:
    """What a new line that welds sends, to come last."""
    return {
        "process": process("weld").pk,
        "lead_low_days": 1,
        "lead_likely_days": 2,
        "lead_high_days": 3,
        "version": 1,
    }


def last(part: Any) -> Operation:
    return part.operations.order_by("sequence").last()


def test_welding_after_zinc_is_refused_with_reason_source_and_way_out(
    tank: Any, line_data: Any, as_manager: Client
) -> None:
    url = reverse("operation-new", args=[tank.pk])
    answer = as_manager.post(url, {**line_data, "follows": last(tank).pk})
    words = answer.content.decode()
    assert answer.status_code == 200
    assert "Weld must come before zinc plate" in words
    assert "Welding plated steel gives zinc fume and porosity and burns the plating off" in words
    assert "from memory: HSE zinc-fume advice; ISO 2081" in words
    assert "Let line 2, zinc plate, come after line 3, weld." in words
    assert tank.operations.count() == 2
    assert not Overrule.objects.exists()


def test_a_manager_lets_it_stand_and_the_part_says_so(
    tank: Any, line_data: Any, manager: Any, as_manager: Client, as_fitter: Client
) -> None:
    data = {**line_data, "follows": last(tank).pk, f"because-0-{WELD_FIRST}": " tack only,  stripped first "}
    assert as_manager.post(reverse("operation-new", args=[tank.pk]), data).status_code == 302
    kept = Overrule.objects.get()
    assert (kept.operation, kept.rule, kept.reason, kept.by) == (
        last(tank),
        WELD_FIRST,
        "tack only, stripped first",
        manager,
    )
    words = as_fitter.get(tank.get_absolute_url()).content.decode()
    assert "<b>Overruled</b> by Maud Ellery" in words
    assert "tack only, stripped first" in words


def test_a_blank_reason_is_none(tank: Any, line_data: Any, as_manager: Client) -> None:
    data = {**line_data, "follows": last(tank).pk, f"because-0-{WELD_FIRST}": "   "}
    assert as_manager.post(reverse("operation-new", args=[tank.pk]), data).status_code == 200
    assert tank.operations.count() == 2


def test_a_reason_for_another_rule_does_not_help(tank: Any, line_data: Any, as_manager: Client) -> None:
    data = {**line_data, "follows": last(tank).pk, "because-0-order:weld>galvanise": "no"}
    assert as_manager.post(reverse("operation-new", args=[tank.pk]), data).status_code == 200
    assert tank.operations.count() == 2


def test_only_a_manager_overrules(tank: Any, process: Any, fitter: Any) -> None:
    wording = LineWording(process("weld"), None, 1, 2, 3, follows=last(tank))
    reasons = {f"because-0-{WELD_FIRST}": "it will do"}
    with pytest.raises(ValidationError, match="Only a manager"):
        line_write(part=tank, wording=wording, reasons=reasons, by=fitter)
    assert (tank.operations.count(), Overrule.objects.count()) == (2, 0)


@pytest.fixture
def overruled(tank: Any, process: Any, manager: Any) -> Operation:
    """The third line: weld after zinc, let stand by a manager."""
    wording = LineWording(process("weld"), None, 1, 2, 3, follows=last(tank))
    written = line_write(
        part=tank, wording=wording, reasons={f"because-0-{WELD_FIRST}": "stripped first"}, by=manager
    )
    assert written.line is not None
    return written.line


def test_what_is_overruled_stays_so_while_the_rule_is_the_same(
    tank: Any, overruled: Operation, line_data: Any, as_manager: Client
) -> None:
    data = {**line_data, "follows": overruled.part.operations.get(sequence=2).pk, "masking": "the bosses"}
    answer = as_manager.post(reverse("operation-edit", args=[overruled.pk]), data)
    assert answer.status_code == 302
    assert Overrule.objects.get().reason == "stripped first"


def test_an_overrule_is_withdrawn_when_the_line_moves_to_where_it_belongs(
    tank: Any, overruled: Operation, line_data: Any, as_manager: Client
) -> None:
    data = {**line_data, "follows": tank.operations.get(sequence=1).pk}
    assert as_manager.post(reverse("operation-edit", args=[overruled.pk]), data).status_code == 302
    assert not Overrule.objects.exists()


def test_a_changed_line_needs_a_reason_of_its_own(
    tank: Any, overruled: Operation, line_data: Any, process: Any, as_manager: Client
) -> None:
    """Bend after zinc is another rule than weld after zinc."""
    data = {**line_data, "process": process("bend").pk, "follows": tank.operations.get(sequence=2).pk}
    answer = as_manager.post(reverse("operation-edit", args=[overruled.pk]), data)
    assert "Fold or bend must come before zinc plate" in answer.content.decode()
    assert Operation.objects.get(pk=overruled.pk).process.key == "weld"
    assert Overrule.objects.get().rule == WELD_FIRST


def test_what_went_out_keeps_its_overrule(
    tank: Any, overruled: Operation, process: Any, plater: Any, fitter: Any, today: Any, manager: Any
) -> None:
    tank.operations.exclude(pk=overruled.pk).update(
        sent_on=today, back_on=today, result="accepted", checked_by=fitter
    )
    operation_send(operation=overruled, on=today, by=fitter)
    wording = LineWording(process("engrave"), None, 1, 2, 3, follows=overruled)
    line_write(part=tank, wording=wording, by=manager)
    assert Overrule.objects.get().operation == overruled


def test_a_finish_that_the_material_does_not_take_is_refused_on_the_part_too(
    tank: Any, as_manager: Client
) -> None:
    aluminium = Material.objects.get(key="al_6xxx")
    url = reverse("part-edit", args=[tank.pk])
    answer = as_manager.post(
        url, {"name": "coolant tank", "quantity": 1, "material": aluminium.pk, "version": 1}
    )
    words = answer.content.decode()
    assert "Zinc plate: not for Aluminium 6061, 6063, 6082" in words
    assert Part.objects.get().material is None
    line = last(tank)
    data = {
        "name": "coolant tank",
        "quantity": 1,
        "material": aluminium.pk,
        "version": 1,
        f"because-{line.pk}-material:zinc_plate+al_6xxx": "zincate route agreed",
    }
    assert as_manager.post(url, data).status_code == 302
    assert Overrule.objects.get().operation == line


def test_features_are_kept_and_checked(tank: Any, as_manager: Client) -> None:
    url = reverse("part-edit", args=[tank.pk])
    data = {"name": "coolant tank", "quantity": 1, "version": 1}
    answer = as_manager.post(url, {**data, "features": ["sealed"]})
    assert "Zinc plate: the part has a sealed hollow section" in answer.content.decode()
    answer = as_manager.post(url, {**data, "features": ["sealed", "vented"]})
    assert "either sealed or have vent and drain holes" in answer.content.decode()
    assert (
        "is not one of the available choices"
        in as_manager.post(url, {**data, "features": ["gold"]}).content.decode()
    )
    assert Part.objects.get().features == []
    answer = as_manager.post(
        url, {**data, "features": ["vented"], "area_m2": "0.45", "colour_set": " engine  bay "}
    )
    assert answer.status_code == 302
    part = Part.objects.get()
    assert (part.features, str(part.area_m2), part.colour_set) == (["vented"], "0.4500", "engine bay")
    page = as_manager.get(part.get_absolute_url()).content.decode()
    assert "its hollow sections have vent and drain holes" in page
    assert "0.45 m² each" in page
    assert "engine bay" in page


def test_what_should_be_is_saved_with_a_warning(tank: Any, as_manager: Client) -> None:
    iron = Material.objects.get(key="cast_iron")
    answer = as_manager.post(
        reverse("part-edit", args=[tank.pk]),
        {"name": "coolant tank", "quantity": 1, "material": iron.pk, "version": 1},
        follow=True,
    )
    words = answer.content.decode()
    assert "Zinc plate: with care on Cast iron" in words
    assert "1 thing to mind" in words
    assert Part.objects.get().material == iron


def test_a_card_that_broke_a_rule_before_can_still_be_edited(
    tern: Any, make_part: Any, plater: Any, line_data: Any, as_manager: Client
) -> None:
    """As after an import: the part's page tells of it, and the line can be answered for later."""
    part = make_part(tern, "bracket", route=[("zinc_plate", plater, 5), ("weld", None, 2)])
    assert "Put it right, or answer for it" in as_manager.get(part.get_absolute_url()).content.decode()
    weld = last(part)
    url = reverse("operation-edit", args=[weld.pk])
    data = {**line_data, "follows": part.operations.get(sequence=1).pk}
    assert as_manager.post(url, {**data, "masking": "faces"}).status_code == 302
    data |= {"version": 2, f"because-{weld.pk}-{WELD_FIRST}": "ground back first"}
    assert as_manager.post(url, data).status_code == 302
    assert Overrule.objects.get().operation == weld


def test_striking_out_a_bake_is_told(
    tern: Any, make_part: Any, plater: Any, process: Any, as_manager: Client
) -> None:
    bolts = make_part(
        tern,
        "bolts",
        route=[("zinc_plate", plater, 5), ("bake", plater, 1)],
        material=Material.objects.get(key="fastener_12_9"),
    )
    written = line_strike_out(operation=last(bolts))
    assert [finding.key for finding in written.warnings] == ["bake:zinc_plate+fastener_12_9"]
    assert bolts.operations.count() == 1


def test_lines_are_called_by_their_numbers_on_the_card(
    tern: Any, make_part: Any, plater: Any, fitter: Any, today: Any, process: Any, as_manager: Client
) -> None:
    """The rejected first line is left out of the check, and the second stays the second."""
    part = make_part(tern, "bracket", route=[("zinc_plate", plater, 5), ("zinc_plate", plater, 5)])
    first, second = part.operations.order_by("sequence")
    Operation.objects.filter(pk=first.pk).update(
        sent_on=today, back_on=today, result="rejected", reason="thin", checked_by=fitter
    )
    Operation.objects.filter(pk=second.pk).update(reworks=first)
    url = reverse("operation-new-check", args=[part.pk])
    given = {"process": process("weld").pk, "follows": second.pk}
    words = as_manager.post(url, given).content.decode()
    assert "Let line 2, zinc plate, come after line 3, weld." in words
    between = as_manager.post(url, {**given, "follows": first.pk}).content.decode()
    assert "must come before" not in between
    assert as_manager.get(reverse("operation-edit", args=[first.pk])).status_code == 200


def test_a_rejected_line_that_is_made_good_is_left_aside(
    tern: Any, make_part: Any, plater: Any, process: Any, fitter: Any, today: Any, manager: Any
) -> None:
    part = make_part(tern, "bracket", route=[("zinc_plate", plater, 5)])
    zinc = part.operations.get()
    Operation.objects.filter(pk=zinc.pk).update(
        sent_on=today, back_on=today, result="rejected", reason="thin", checked_by=fitter
    )
    again = LineWording(process("zinc_plate"), plater, 1, 2, 3, follows=zinc, makes_good=zinc)
    line_write(part=part, wording=again, by=manager)
    blast = LineWording(process("blast"), plater, 1, 2, 3, follows=zinc)
    assert line_write(part=part, wording=blast, by=manager).warnings == ()


def test_what_was_answered_for_holds_for_the_rework(
    tank: Any, overruled: Operation, fitter: Any, today: Any, as_manager: Client
) -> None:
    tank.operations.exclude(pk=overruled.pk).update(
        sent_on=today, back_on=today, result="accepted", checked_by=fitter
    )
    operation_send(operation=overruled, on=today, by=fitter)
    operation_reject(operation=overruled, on=today, by=fitter, reason="cracked")
    words = as_manager.get(tank.get_absolute_url()).content.decode()
    assert "Put it right, or answer for it" not in words
    assert words.count("stripped first") == 1


def test_a_refusal_changes_nothing_of_the_part(tank: Any, manager: Any) -> None:
    tank.features = ["sealed"]
    tank.note = "seen"
    with pytest.raises(RuleBroken):
        part_write(part=tank, version=1, by=manager)
    there = Part.objects.get()
    assert (there.features, there.note, there.version) == ([], "", 1)


def test_the_look_before_saving_says_the_same_and_saves_nothing(
    tank: Any, line_data: Any, process: Any, as_manager: Client
) -> None:
    url = reverse("operation-new-check", args=[tank.pk])
    answer = as_manager.post(
        url,
        {
            "process": line_data["process"],
            "follows": last(tank).pk,
            f"because-0-{WELD_FIRST}": "half a reason",
        },
    )
    words = answer.content.decode()
    assert "Weld must come before zinc plate" in words
    assert 'value="half a reason"' in words
    assert "<html" not in words
    moved = as_manager.post(url, {"process": line_data["process"], "follows": tank.operations.first().pk})
    assert "must" not in moved.content.decode()
    assert "must" not in as_manager.post(url, {}).content.decode()
    assert (tank.operations.count(), Overrule.objects.count()) == (2, 0)


def test_the_look_at_a_line_that_stands_there(tank: Any, process: Any, as_manager: Client) -> None:
    first = tank.operations.first()
    url = reverse("operation-check", args=[first.pk])
    words = as_manager.post(url, {"process": process("weld").pk, "follows": last(tank).pk}).content.decode()
    assert "Weld must come before zinc plate" in words
    assert f"because-{first.pk}-{WELD_FIRST}" in unescape(words)


def test_the_look_at_a_part(tank: Any, as_manager: Client) -> None:
    url = reverse("part-check", args=[tank.pk])
    words = as_manager.post(url, {"features": ["high strength"]}).content.decode()
    assert "high-strength steel must be baked afterwards" in words
    assert Part.objects.get().features == []


def test_checks_are_for_managers(tank: Any, as_fitter: Client) -> None:
    for name, number in (
        ("part-check", tank.pk),
        ("operation-new-check", tank.pk),
        ("operation-check", tank.operations.first().pk),
    ):
        assert as_fitter.post(reverse(name, args=[number])).status_code == 403


def test_processes_in_use_are_offered_first(tank: Any, as_manager: Client) -> None:
    form = as_manager.get(reverse("operation-new", args=[tank.pk])).context["form"]
    groups = list(form.fields["process"].choices)
    assert [group for group, _ in groups] == [
        "",
        "Used here",
        "Bought in",
        "Makes or changes the part",
        "Finishes the surface, in batches",
    ]
    assert [str(name) for _, name in groups[1][1]] == ["Fabricate", "Zinc plate"]

"""A sheet may be of one part: who has an old revision, and what the part learns from it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.services.sheet_facts import facts_take_over
from engineering.models import CalcSheet
from engineering.parts import abroad
from engineering.services import calc_sheet_part
from parts.models import Operation, SupplierPrice


@pytest.fixture
def tank(tern: Any, make_part: Any, plater: Any) -> Any:
    return make_part(tern, "Fuel tank", route=[("fabricate", plater, 10)])


@pytest.fixture
def kept(as_fitter: Client, fuel_job: Any, typed_tank: dict[str, str]) -> CalcSheet:
    as_fitter.post(reverse("calc-sheet-new", args=[fuel_job.pk, "tank"]), typed_tank)
    return CalcSheet.objects.get()


def revise(client: Client, sheet: CalcSheet, typed: dict[str, str], **changes: str) -> CalcSheet:
    client.post(reverse("calc-sheet-revise", args=[sheet.pk]), typed | changes)
    return CalcSheet.objects.latest("revision")


def send(part: Any, days_ago: int) -> None:
    Operation.objects.filter(part=part).update(sent_on=timezone.localdate() - timedelta(days=days_ago))


def test_a_sheet_is_of_a_part_in_all_its_revisions(
    as_fitter: Client, kept: CalcSheet, tank: Any, typed_tank: dict[str, str]
) -> None:
    as_fitter.post(reverse("calc-sheet-part", args=[kept.pk]), {"part": tank.pk})
    assert revise(as_fitter, kept, typed_tank, height_mm="214").part == tank
    kept.refresh_from_db()
    assert kept.part == tank


def test_a_part_of_another_car_is_refused(
    as_fitter: Client, kept: CalcSheet, skua: Any, make_part: Any
) -> None:
    other = make_part(skua, "Fuel tank")
    answer = as_fitter.post(reverse("calc-sheet-part", args=[kept.pk]), {"part": other.pk}, follow=True)
    assert "not a part of Tern" in answer.content.decode()
    with pytest.raises(ValidationError, match="another car"):
        calc_sheet_part(sheet=kept, part=other)
    kept.refresh_from_db()
    assert kept.part is None


def test_who_has_an_old_revision_is_named(
    as_fitter: Client, kept: CalcSheet, tank: Any, typed_tank: dict[str, str], plater: Any
) -> None:
    calc_sheet_part(sheet=kept, part=tank)
    send(tank, days_ago=0)
    kept.refresh_from_db()
    assert abroad(kept) == []  # it went with the newest
    newer = revise(as_fitter, kept, typed_tank, height_mm="214")
    CalcSheet.objects.filter(pk=newer.pk).update(made_at=timezone.now() + timedelta(days=1))
    newer.refresh_from_db()
    (one,) = abroad(newer)
    assert (one.supplier, one.revision) == ("Ferrand Plating", 1)
    page = as_fitter.get(newer.get_absolute_url()).content.decode()
    assert "An older revision is out." in page
    assert "tell them which one to work to" in page


def test_who_revises_is_told_first_that_the_part_is_out(
    as_fitter: Client, kept: CalcSheet, tank: Any, typed_tank: dict[str, str]
) -> None:
    calc_sheet_part(sheet=kept, part=tank)
    address = reverse("calc-sheet-revise", args=[kept.pk])
    assert "is out." not in as_fitter.get(address).content.decode()
    send(tank, days_ago=0)
    page = as_fitter.get(address).content.decode()
    assert "<b>Fuel tank is out.</b> Ferrand Plating has it since" in page
    assert "with revision 1" in page


def test_what_went_out_before_the_first_revision_is_said_too(kept: CalcSheet, tank: Any) -> None:
    calc_sheet_part(sheet=kept, part=tank)
    send(tank, days_ago=5)
    kept.refresh_from_db()
    (one,) = abroad(kept)
    assert one.revision is None


@pytest.mark.parametrize("name", ["waiting", "chase-list", "part"])
def test_whoever_looks_at_what_is_out_is_told_of_the_newer_revision(
    as_fitter: Client, kept: CalcSheet, tank: Any, typed_tank: dict[str, str], name: str
) -> None:
    calc_sheet_part(sheet=kept, part=tank)
    send(tank, days_ago=3)
    CalcSheet.objects.update(made_at=timezone.now() - timedelta(days=5))
    address = tank.get_absolute_url() if name == "part" else reverse(name)
    question = "ent out with revision 1 of “Main fuel tank”; revision 2 is here now: ask"
    assert question not in as_fitter.get(address).content.decode()
    revise(as_fitter, kept, typed_tank, height_mm="214")
    assert question in as_fitter.get(address).content.decode()
    newest = CalcSheet.objects.latest("revision")
    assert "An older revision is out." in as_fitter.get(newest.get_absolute_url()).content.decode()


def test_a_sheet_revised_before_it_went_out_raises_no_question(
    as_fitter: Client, kept: CalcSheet, tank: Any, typed_tank: dict[str, str]
) -> None:
    calc_sheet_part(sheet=kept, part=tank)
    revise(as_fitter, kept, typed_tank, height_mm="214")
    CalcSheet.objects.update(made_at=timezone.now() - timedelta(days=5))
    send(tank, days_ago=3)
    assert "Calc sheet?" not in as_fitter.get(reverse("waiting")).content.decode()


def test_the_part_learns_mass_sizes_and_blank_area(as_manager: Client, kept: CalcSheet, tank: Any) -> None:
    """Outside 604 × 404 × 204 mm; the mass is that on the sheet, checked in the tests of its core."""
    calc_sheet_part(sheet=kept, part=tank)
    as_manager.post(reverse("sheet-take-over", args=[kept.pk]))
    tank.refresh_from_db()
    assert (tank.length_mm, tank.width_mm, tank.height_mm) == (604, 404, 204)
    assert tank.mass_kg == Decimal(str(round(kept.results["empty_kg"], 3)))
    assert float(tank.area_m2) == pytest.approx(kept.results["sheet_m2"], abs=0.00006)
    assert tank.version == 2


def test_what_the_sheet_knows_reaches_the_batch_and_the_weight_sheet(
    as_manager: Client, fuel_job: Any, tern: Any, make_part: Any, plater: Any, process: Any,
    typed_tank: dict[str, str],
) -> None:  # fmt: skip
    """A plater who prices by the square metre and takes nothing over half a metre; a tank of 604 mm."""
    plater.largest_length_mm = 500
    plater.save()
    plater.processes.add(process("zinc_plate"))
    SupplierPrice.objects.create(supplier=plater, process=process("zinc_plate"), per_m2=Decimal(30))
    tank = make_part(tern, "Fuel tank", route=[("zinc_plate", plater, 5)])
    before = as_manager.get(reverse("finishing")).content.decode()
    assert "The surface of Fuel tank of Tern is not known" in before
    assert "larger than Ferrand Plating takes" not in before

    as_manager.post(reverse("calc-sheet-new", args=[fuel_job.pk, "tank"]), typed_tank)
    sheet = CalcSheet.objects.get()
    as_manager.post(reverse("calc-sheet-part", args=[sheet.pk]), {"part": tank.pk})
    as_manager.post(reverse("sheet-take-over", args=[sheet.pk]))

    after = " ".join(as_manager.get(reverse("finishing")).content.decode().split())
    assert "The surface of Fuel tank" not in after
    assert "larger than Ferrand Plating takes" in after
    assert "4.733 kg" in after
    # 604 × 404 × 204 mm of 2 mm sheet at 2660 kg/m³, by hand: 4.733 kg
    by_hand = (604 * 404 * 204 - 600 * 400 * 200) * 2660e-9
    begun = as_manager.get(reverse("calc-sheet-new", args=[fuel_job.pk, "weight"]) + "?from=parts")
    assert begun.context["form"].initial["items"] == [
        {"name": "Fuel tank", "mass_kg": pytest.approx(by_hand, abs=0.0006)}
    ]
    assert 'name="items-0-name" value="Fuel tank"' in begun.content.decode()


def test_nothing_is_taken_over_without_a_part_or_from_an_old_revision(
    as_fitter: Client, manager: Any, kept: CalcSheet, tank: Any, typed_tank: dict[str, str]
) -> None:
    with pytest.raises(ValidationError, match="which part"):
        facts_take_over(sheet=kept, by=manager)
    calc_sheet_part(sheet=kept, part=tank)
    revise(as_fitter, kept, typed_tank, height_mm="214")
    kept.refresh_from_db()
    with pytest.raises(ValidationError, match="newer revision"):
        facts_take_over(sheet=kept, by=manager)
    tank.refresh_from_db()
    assert tank.mass_kg is None


def test_a_weight_sheet_may_begin_with_the_parts_whose_mass_is_known(
    as_fitter: Client, fuel_job: Any, tern: Any, make_part: Any
) -> None:
    make_part(tern, "Road wheel", quantity=4, mass_kg=Decimal("9.5"))
    make_part(tern, "Bracket")
    address = reverse("calc-sheet-new", args=[fuel_job.pk, "weight"])
    assert "Road wheel" not in as_fitter.get(address).content.decode()
    page = as_fitter.get(f"{address}?from=parts").content.decode()
    assert 'name="items-0-name" value="Road wheel"' in page
    assert 'name="items-0-mass_kg" value="38"' in page
    assert "Bracket" not in page

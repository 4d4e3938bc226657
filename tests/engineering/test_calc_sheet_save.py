"""Keeping a sheet: the next revision, and nothing silently overwritten."""

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from engineering.forms import CircuitForm, TankForm
from engineering.models import CalcSheet
from engineering.services import calc_sheet_save


@pytest.fixture
def tank_inputs(typed_tank):
    form = TankForm(typed_tank)
    assert form.is_valid(), form.errors
    return form.inputs()


@pytest.fixture
def save(fuel_job, fitter, tank_inputs):
    def keep(**changes):
        values = {"job": fuel_job, "kind": "tank", "title": "Main fuel tank", "inputs": tank_inputs,
                  "by": fitter, "at": timezone.now()}  # fmt: skip
        return calc_sheet_save(**(values | changes))

    return keep


def test_the_first_save_is_revision_one_with_what_was_typed_and_what_came_out(
    save, fuel_job, fitter, tank_inputs
):
    sheet = save()
    sheet.refresh_from_db()
    assert (sheet.job, sheet.kind, sheet.revision, sheet.made_by) == (fuel_job, "tank", 1, fitter)
    assert sheet.inputs == tank_inputs
    assert sheet.inputs["length_mm"] == 604
    assert "diameter_mm" not in sheet.inputs
    assert sheet.results["usable_l"] == pytest.approx(43.2)
    assert sheet.results["notes"]["cautions"]


def test_each_save_after_it_is_the_next_revision_and_leaves_the_first_alone(save, tank_inputs):
    first = save()
    second = save(inputs=tank_inputs | {"pickup_mm": 20}, after_revision=1)
    assert second.revision == 2
    first.refresh_from_db()
    assert first.inputs["pickup_mm"] == 10
    assert second.results["usable_l"] < first.results["usable_l"]


def test_the_same_title_on_another_job_is_another_sheet(save, lamp_job):
    save()
    assert save(job=lamp_job).revision == 1


def test_a_circuit_is_kept_too(lamp_job, fitter, typed_circuit):
    form = CircuitForm(typed_circuit)
    assert form.is_valid(), form.errors
    sheet = calc_sheet_save(
        job=lamp_job,
        kind="circuit",
        title="Headlamp feed",
        inputs=form.inputs(),
        by=fitter,
        at=timezone.now(),
    )
    sheet.refresh_from_db()
    assert sheet.results["chosen"]["name"] == "4 mm²"
    assert sheet.results["fuse_a"] == 15


@pytest.mark.parametrize("title", ["Main fuel tank", "MAIN FUEL TANK", "  Main fuel tank "])
def test_a_new_sheet_does_not_take_a_title_that_is_there(save, title):
    save()
    with pytest.raises(ValidationError, match="has a sheet called “Main fuel tank” already"):
        save(title=title, after_revision=0)
    assert CalcSheet.objects.count() == 1


def test_the_second_of_two_revisers_is_told(save, tank_inputs, other_fitter):
    save()
    save(inputs=tank_inputs | {"pickup_mm": 20}, by=other_fitter, after_revision=1)
    with pytest.raises(ValidationError, match=r"Ines Brandt saved revision 2 .* while you had revision 1"):
        save(inputs=tank_inputs | {"pickup_mm": 30}, after_revision=1)
    assert [sheet.inputs["pickup_mm"] for sheet in CalcSheet.objects.order_by("revision")] == [10, 20]


def test_figures_that_cannot_be_meant_are_not_kept(save, tank_inputs):
    with pytest.raises(ValidationError) as refusal:
        save(inputs=tank_inputs | {"pickup_mm": 400})
    assert list(refusal.value.message_dict) == ["pickup_mm"]
    assert not CalcSheet.objects.exists()


def test_an_unknown_kind_is_not_kept(save):
    with pytest.raises(ValidationError, match="no calc sheet of the kind “bridge”"):
        save(kind="bridge")
    assert not CalcSheet.objects.exists()


def test_the_database_itself_holds_each_revision_once(save, fitter):
    """Whatever the code does: a number that is taken cannot be taken again."""
    from django.db import IntegrityError, transaction

    sheet = save()
    with pytest.raises(IntegrityError), transaction.atomic():
        CalcSheet.objects.create(
            job=sheet.job, kind="tank", title=sheet.title, revision=1, inputs={}, results={}, made_by=fitter,
            made_at=timezone.now(),
        )  # fmt: skip


def test_losing_the_race_for_a_number_is_told_and_keeps_nothing(save, monkeypatch):
    """Another tablet writes between our look and our write: the constraint refuses, and we say so."""
    from engineering.models import CalcSheetQuerySet

    save()
    monkeypatch.setattr(CalcSheetQuerySet, "of", lambda self, *_: self.none())
    with pytest.raises(ValidationError, match="at the same moment"):
        save()
    assert CalcSheet.objects.count() == 1

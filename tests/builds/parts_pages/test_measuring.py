"""Mass, surface and growth on the pages; the figures themselves are tested in tests/parts/trade."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from parts.models import Material, Operation, Overrule, Part

SHEET = {
    "shape": "sheet",
    "length_mm": "1000",
    "width_mm": "500",
    "thickness_mm": "2",
    "density_kg_m3": "7850",
}


def test_sizes_and_density_of_the_part_stand_there_already(tank: Any, as_manager: Client) -> None:
    Part.objects.filter(pk=tank.pk).update(material=Material.objects.get(key="al_6xxx"), length_mm=400)
    form = as_manager.get(reverse("part-measure", args=[tank.pk])).context["form"]
    assert (form["length_mm"].value(), form["density_kg_m3"].value()) == (400, 2700)


def test_a_look_saves_nothing_and_taking_over_does(tank: Any, as_manager: Client) -> None:
    """2 mm steel is 15.7 kg/m² (EN 10029, from memory): half a square metre is 7.85 kg."""
    url = reverse("part-measure", args=[tank.pk])
    looked = as_manager.get(url, SHEET).content.decode()
    assert "7.85 kg" in looked
    assert "1.006 m²" in looked
    assert Part.objects.get().mass_kg is None
    assert as_manager.post(url, {**SHEET, "version": "1"}).status_code == 302
    part = Part.objects.get()
    assert (part.mass_kg, part.area_m2, part.version) == (Decimal("7.85"), Decimal("1.006"), 2)


def test_the_second_of_two_is_told(tank: Any, as_manager: Client) -> None:
    url = reverse("part-measure", args=[tank.pk])
    as_manager.post(url, {**SHEET, "version": "1"})
    answer = as_manager.post(url, {**SHEET, "thickness_mm": "4", "version": "1"})
    assert "changed by somebody else meanwhile" in answer.content.decode()
    assert Part.objects.get().mass_kg == Decimal("7.85")


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"thickness_mm": ""}, "Thickness (mm): This shape needs it."),
        ({"thickness_mm": "0"}, "A size is greater than 0"),
        ({"thickness_mm": "two"}, "Enter a number"),
        ({"thickness_mm": "nan"}, "Enter a number"),
        ({"density_kg_m3": "1"}, "A density is from 10"),
        ({"density_kg_m3": ""}, "This field is required"),
        ({"shape": "ball"}, "is not one of the available choices"),
        ({"shape": "tube", "diameter_mm": "20", "wall_mm": "10"}, "leaves no bore"),
        ({"shape": "turned", "steps": "40"}, "Step 1, “40”: write length and diameter"),
        ({"shape": "turned", "steps": "40 30\n10 x"}, "Step 2, “10 x”"),
        ({"shape": "turned", "steps": "40 30\n" * 41}, "41 steps; up to 40"),
        ({"length_mm": "0.01", "width_mm": "0.01", "thickness_mm": "0.01"}, "greater than or equal to 0.001"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_in_words(
    tank: Any, as_manager: Client, given: dict[str, str], words: str
) -> None:
    answer = as_manager.post(reverse("part-measure", args=[tank.pk]), {**SHEET, "version": "1", **given})
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert Part.objects.get().mass_kg is None


def test_a_turned_part_is_typed_step_by_step(tank: Any, as_manager: Client) -> None:
    """The cone of the textbook: 16 000 π mm³ of steel are 0.395 kg, 3600 π mm² are 0.0113 m²."""
    given = {"shape": "turned", "steps": " 30 0 80 \n", "density_kg_m3": "7850"}
    words = as_manager.get(reverse("part-measure", args=[tank.pk]), given).content.decode()
    assert "0.395 kg" in words
    assert "0.0113 m²" in words


def test_htmx_is_given_the_answer_alone(tank: Any, as_manager: Client) -> None:
    answer = as_manager.get(reverse("part-measure", args=[tank.pk]), SHEET, headers={"HX-Request": "true"})
    assert "<html" not in answer.content.decode()
    assert 'id="measured"' in answer.content.decode()


def test_measuring_is_for_managers(tank: Any, as_fitter: Client) -> None:
    assert as_fitter.get(reverse("part-measure", args=[tank.pk])).status_code == 403


@pytest.fixture
def plated(tank: Any) -> Operation:
    line = tank.operations.get(process__key="zinc_plate")
    Operation.objects.filter(pk=line.pk).update(coating_class="8 µm, passivated")
    return Operation.objects.get(pk=line.pk)


def test_the_part_says_what_the_coat_adds(tank: Any, plated: Operation, as_fitter: Client) -> None:
    """Zinc stands wholly on the surface: 8 a face, 16 on a shaft, 32 on a 60° thread."""
    words = as_fitter.get(tank.get_absolute_url()).content.decode()
    assert (
        "+8 µm a face, +16 µm on a shaft, −16 µm on a bore, +32 µm on the pitch diameter of a 60° "
        "outside thread."
    ) in " ".join(words.split())


def test_with_another_film_and_thread(plated: Operation, as_fitter: Client) -> None:
    url = reverse("operation-growth", args=[plated.pk])
    first = as_fitter.get(url).content.decode()
    assert "+32 µm" in first
    given = {"film_um": "12", "share": "", "angle_deg": "55", "pitch_mm": "1"}
    words = as_fitter.get(url, given).content.decode()
    assert "+52 µm" in words  # 12 × 4.33
    assert "takes 6.5 µm at most" in words
    assert "this film is too thick" in words


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"film_um": "900"}, "the figures hold from 2 to 30 µm, not for 900 µm"),
        ({"film_um": ""}, "This field is required"),
        ({"film_um": "nan"}, "Enter a number"),
        ({"film_um": "8", "share": "2"}, "from 0 to 1, not 2"),
        ({"film_um": "8", "angle_deg": "90"}, "is not one of the available choices"),
        ({"film_um": "8", "pitch_mm": "99"}, "The pitch of a metric thread"),
    ],
)
def test_growth_outside_the_range_is_refused_in_words(
    plated: Operation, as_fitter: Client, given: dict[str, str], words: str
) -> None:
    answer = as_fitter.get(reverse("operation-growth", args=[plated.pk]), {"angle_deg": "60", **given})
    assert answer.status_code == 200
    assert words in answer.content.decode()


def test_a_class_out_of_range_is_said_on_the_part(tank: Any, plated: Operation, as_fitter: Client) -> None:
    Operation.objects.filter(pk=plated.pk).update(coating_class="90 µm")
    words = as_fitter.get(tank.get_absolute_url()).content.decode()
    assert "the figures hold from 2 to 30 µm, not for 90 µm" in words


def test_a_process_without_figures_says_so(tank: Any, as_fitter: Client) -> None:
    line = tank.operations.get(process__key="fabricate")
    words = as_fitter.get(reverse("operation-growth", args=[line.pk])).content.decode()
    assert "is not known here. Ask the finisher" in words


def test_the_form_of_a_line_shows_the_growth_as_it_is_typed(
    tank: Any, plated: Operation, process: Any, as_manager: Client
) -> None:
    url = reverse("operation-check", args=[plated.pk])
    given = {
        "process": process("anodise_hard").pk,
        "coating_class": "50 µm",
        "follows": tank.operations.first().pk,
    }
    words = as_manager.post(url, given).content.decode()
    assert "+25 µm a face" in words
    assert "+100 µm on the pitch diameter" in words
    assert not Overrule.objects.exists()

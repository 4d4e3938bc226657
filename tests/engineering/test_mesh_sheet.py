"""The sheet of a tank from a file: chosen once, told what was mended, kept, revised, printed, refused."""

import pytest
import trimesh
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from engineering.models import CalcSheet
from engineering.tank import Solid, stl_of
from engineering.tank.solid import joined, solid_box

WITH_POT = joined([solid_box((0, 0, 0), (600, 400, 200)), solid_box((60, 125, -60), (150, 150, 60))])


def chosen(solid: Solid = WITH_POT, name: str = "rear tank.stl") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, stl_of(solid))


@pytest.fixture
def typed() -> dict[str, str]:
    return {
        "title": "Rear tank", "unit": "mm", "thickness_mm": "2", "metal": "aluminium_5083",
        "liquid": "petrol", "foam": "none", "foam_percent": "100", "pickup_x_mm": "135", "pickup_y_mm": "200",
        "pickup_z_mm": "-50", "expansion_percent": "5", "fill_c": "15", "hottest_c": "50", "stick_x_mm": "",
        "stick_y_mm": "", "dip_step_mm": "20", "nose_up_percent": "0", "left_up_percent": "0",
        "sender": "none", "sender_lowest_mm": "", "sender_highest_mm": "", "sender_points": "",
        "surge_g": "0.5", "mesh": "", "found": "", "file_name": "",
    }  # fmt: skip


@pytest.fixture
def new(fuel_job) -> str:
    return reverse("calc-sheet-new", args=[fuel_job.pk, "mesh"])


def test_a_tank_is_read_from_a_file_and_kept(as_fitter, new, typed):
    """Box with pot of cut_cases.json: 49.35 L, metal 1.852224 L at 2 mm, 0.225 L below the pickup."""
    answer = as_fitter.post(new, {**typed, "file": chosen()}, follow=True)
    sheet = CalcSheet.objects.get()
    assert sheet.results["gross_l"] == pytest.approx(49.35, rel=1e-6)
    assert sheet.results["empty_kg"] == pytest.approx(1.852224 * 2.660, rel=1e-5)
    assert sheet.results["rest_l"] == pytest.approx(0.225, rel=1e-5)
    text = answer.content.decode()
    for words in (
        "46.66 L usable",
        "rear tank.stl",
        "Read 28 triangles.",
        "Surge at 0.5 g",
        "Never weld, cut",
    ):
        assert words in text
    assert sheet.inputs["mesh"] not in text


def test_what_was_mended_is_told(as_fitter, new, typed):
    inside_out = Solid(WITH_POT.points_mm, WITH_POT.triangles[:, ::-1])
    text = as_fitter.post(new, {**typed, "file": chosen(inside_out)}, follow=True).content.decode()
    assert "Inside out: all its faces look inwards" in text
    assert "That changed the volume by +98.700 L." in text


def test_work_out_carries_the_shape_so_that_it_is_chosen_once(as_fitter, fuel_job, new, typed):
    tried = as_fitter.post(reverse("calc-sheet-try", args=[fuel_job.pk, "mesh"]), {**typed, "file": chosen()})
    assert "46.66 L usable" in tried.content.decode()
    form = tried.context["form"]
    carried = {name: form[name].value() for name in ("mesh", "found", "file_name")}
    assert carried["file_name"] == "rear tank.stl"
    assert carried["mesh"] in tried.content.decode()
    as_fitter.post(new, {**typed, **carried})
    assert CalcSheet.objects.get().results["gross_l"] == pytest.approx(49.35, rel=1e-6)


def test_a_revision_keeps_the_shape(as_fitter, new, typed):
    as_fitter.post(new, {**typed, "file": chosen()})
    first = CalcSheet.objects.get()
    revise = reverse("calc-sheet-revise", args=[first.pk])
    page = as_fitter.get(revise).content.decode()
    assert first.inputs["mesh"] in page
    kept = {name: first.inputs[name] for name in ("mesh", "found", "file_name")}
    as_fitter.post(revise, {**typed, **kept, "expansion_percent": "10"})
    second = CalcSheet.objects.get(revision=2)
    assert second.results["filled_l"] == pytest.approx(49.35 * 0.9, rel=1e-6)


def test_it_prints(as_fitter, new, typed):
    as_fitter.post(new, {**typed, "file": chosen()})
    answer = as_fitter.get(reverse("calc-sheet-print", args=[CalcSheet.objects.get().pk]))
    assert answer.content.startswith(b"%PDF")


def _open() -> SimpleUploadedFile:
    mesh = trimesh.creation.icosphere(subdivisions=2, radius=200)
    mesh.update_faces(mesh.triangles_center[:, 2] < 20)
    return SimpleUploadedFile("open.stl", mesh.export(file_type="stl"))


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({}, "file", "choose the STL, OBJ or 3MF"),
        ({"file": chosen(), "unit": ""}, "unit", "does not say its unit"),
        ({"file": chosen(), "unit": "m"}, "unit", "Was it drawn in millimetres"),
        ({"file": SimpleUploadedFile("a.stl", b"%PDF-1.4")}, "file", "this is a PDF"),
        ({"file": SimpleUploadedFile("a.step", b"ISO-10303-21;")}, "file", "is no mesh"),
        ({"file": _open()}, "file", "not watertight"),
        ({"mesh": "rubbish"}, "file", "Choose it again"),
        ({"file": chosen(), "pickup_z_mm": "-70"}, "pickup_z_mm", "outside the tank"),
        ({"file": chosen(), "thickness_mm": "0"}, "thickness_mm", "more than 0 mm"),
    ],
    ids=["none", "no unit", "metres", "pdf", "step", "open", "rubbish", "pickup", "sheet"],
)  # fmt: skip
def test_what_makes_no_tank_is_refused_and_nothing_kept(as_fitter, new, typed, change, field, words):
    for value in change.values():
        if isinstance(value, SimpleUploadedFile):
            value.seek(0)
    answer = as_fitter.post(new, {**typed, **change})
    assert answer.status_code == 200
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


def hole_in_the_roof() -> Solid:
    """Without the two triangles of the roof at z = 200."""
    on_roof = (WITH_POT.points_mm[WITH_POT.triangles][:, :, 2] > 199).all(axis=1)
    return Solid(WITH_POT.points_mm, WITH_POT.triangles[~on_roof])


def crossing_itself() -> Solid:
    """A box whose roof is turned end for end."""
    first = solid_box((0, 0, 0), (600, 400, 200))
    twisted = first.points_mm.copy()
    top = twisted[:, 2] > 1
    twisted[top, 0] = 600 - twisted[top, 0]  # its side walls cross in the middle
    return Solid(twisted, first.triangles)


def in_metres() -> Solid:
    return Solid(WITH_POT.points_mm / 1000, WITH_POT.triangles)


def test_a_hole_that_was_closed_is_told_on_the_page_and_on_the_sheet(as_fitter, fuel_job, new, typed):
    told = ("Not watertight:", "round 1 hole", "Closed flat.")
    tried = as_fitter.post(
        reverse("calc-sheet-try", args=[fuel_job.pk, "mesh"]), {**typed, "file": chosen(hole_in_the_roof())}
    ).content.decode()
    text = as_fitter.post(new, {**typed, "file": chosen(hole_in_the_roof())}, follow=True).content.decode()
    sheet = CalcSheet.objects.get()
    printed = as_fitter.get(reverse("calc-sheet-print", args=[sheet.pk])).content
    for words in told:
        assert words in tried, words
        assert words in text, words
        assert any(words in sentence for sentence in sheet.results["found"]), words
    assert printed.startswith(b"%PDF")
    assert sheet.results["gross_l"] == pytest.approx(49.35, rel=1e-6)


@pytest.mark.parametrize(
    ("solid", "unit", "field", "words"),
    [
        (in_metres, "mm", "unit", "would be 0.6 mm long. Was it drawn in metres"),
        (crossing_itself, "mm", "file", "its surface crosses itself"),
    ],
)
def test_a_mesh_that_cannot_be_trusted_is_refused_in_words(as_fitter, new, typed, solid, unit, field, words):
    answer = as_fitter.post(new, {**typed, "unit": unit, "file": chosen(solid())})
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


def test_two_million_triangles_are_too_many_before_they_are_read(as_fitter, new, typed):
    """The head of the file says how many there are; the rest need not be read."""
    head = b"\0" * 80 + (2_000_000).to_bytes(4, "little") + b"\0" * 500
    answer = as_fitter.post(new, {**typed, "file": SimpleUploadedFile("fine.stl", head)})
    assert "2,000,000 triangles, more than 1,000,000. Export it coarser" in str(
        answer.context["form"].errors["file"]
    )
    assert not CalcSheet.objects.exists()


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"sender": "240_to_33", "sender_lowest_mm": "-5", "sender_highest_mm": "190", "sender_points": "4"},
         "sender_lowest_mm", "outside the tank there"),
        ({"sender": "240_to_33", "sender_lowest_mm": "5", "sender_highest_mm": "190", "sender_points": "50"},
         "sender_points", "take 2 to 32"),
        ({"vents-0-x_mm": "900", "vents-0-y_mm": "1", "vents-0-z_mm": "199"}, "vents", "Line 1: this vent"),
        ({"specific_gravity": "80"}, "specific_gravity", "80 is outside 0.5 to 2"),
        ({"expansion_per_c": "0.9"}, "expansion_per_c", "outside 0 to"),
        ({"thickness_mm": "0.0001"}, "thickness_mm", "is foil, not sheet"),
    ],
)  # fmt: skip
def test_sender_vents_and_liquid_are_refused_by_field(as_fitter, new, typed, change, field, words):
    answer = as_fitter.post(new, {**typed, **change, "file": chosen()})
    assert words in str(answer.context["form"].errors[field])
    assert not CalcSheet.objects.exists()


def test_a_liquid_may_have_the_figures_of_its_data_sheet(as_fitter, new, typed):
    """Specific gravity 0.796: 95 % of 49.35 L weigh 37.32 kg."""
    as_fitter.post(new, {**typed, "specific_gravity": "0.796", "expansion_per_c": "0.0011", "file": chosen()})
    sheet = CalcSheet.objects.get()
    assert sheet.results["liquid_kg"] == pytest.approx(0.95 * 49.35 * 0.796, rel=1e-6)
    assert any("as typed" in source for source in sheet.results["notes"]["sources"])

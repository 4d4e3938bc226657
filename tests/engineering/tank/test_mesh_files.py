"""Meshes from files: made here by a general mesh library, read back, and every fault told in words."""

import io
import struct
import zipfile

import numpy as np
import pytest
import trimesh

from engineering.tank import mesh_file
from engineering.tank.errors import TankInputError
from engineering.tank.mesh_file import read_mesh
from engineering.tank.solid import Solid, joined, solid_box, stl_of

BOX = solid_box((0, 0, 0), (600, 400, 200))
WITH_POT = joined([BOX, solid_box((60, 125, -60), (150, 150, 60))])


def mesh_of(solid: Solid) -> trimesh.Trimesh:
    return trimesh.Trimesh(solid.points_mm, solid.triangles, process=False)


def stl(mesh: trimesh.Trimesh) -> bytes:
    return mesh.export(file_type="stl")


def three_mf(
    mesh: trimesh.Trimesh, unit: str = "millimeter", transform: str = "", through: str = ""
) -> bytes:
    """As the 3MF core specification has it: an object with a mesh, and a build that places it."""
    vertices = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in mesh.vertices)
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.faces)
    holder = f'<object id="2"><components><component objectid="1" {through}/></components></object>'
    model = (
        f'<?xml version="1.0"?><model unit="{unit}" '
        'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources>'
        f'<object id="1"><mesh><vertices>{vertices}</vertices>'
        f"<triangles>{triangles}</triangles></mesh></object>"
        f"{holder if through else ''}</resources>"
        f'<build><item objectid="{2 if through else 1}" {transform}/></build></model>'
    )
    package = io.BytesIO()
    with zipfile.ZipFile(package, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", model)
    return package.getvalue()


@pytest.mark.parametrize(
    ("data", "kind"),
    [
        (stl(mesh_of(WITH_POT)), "stl"),
        (mesh_of(WITH_POT).export(file_type="stl_ascii").encode(), "stl"),
        (mesh_of(WITH_POT).export(file_type="obj").encode(), "OBJ"),
        (three_mf(mesh_of(WITH_POT)), ".3mf"),
    ],
    ids=["binary STL", "STL in words", "OBJ", "3MF"],
)
def test_every_kind_of_file_comes_back_as_it_was(data, kind):
    """Box with pot of cut_cases.json: 49.35 L; 1e-5 through the single precision of a binary STL."""
    report = read_mesh(data, kind, "mm")
    assert report.solid.full_l == pytest.approx(49.35, rel=1e-5)
    assert report.sizes_mm == pytest.approx((600, 400, 260))
    assert report.findings == ()
    assert report.read_triangles == 28


def test_our_own_stl_is_read_by_us_and_by_others():
    data = stl_of(WITH_POT)
    theirs = trimesh.load_mesh(io.BytesIO(data), file_type="stl")
    assert theirs.is_watertight
    assert theirs.volume / 1e6 == pytest.approx(49.35, rel=1e-5)
    assert theirs.face_normals == pytest.approx(mesh_of(WITH_POT).face_normals, abs=1e-5)
    assert read_mesh(data, "stl", "mm").solid.full_l == pytest.approx(49.35, rel=1e-5)


@pytest.mark.parametrize(("unit", "mm"), [("cm", 10.0), ("m", 1000.0), ("in", 25.4), ("ft", 304.8)])
def test_the_unit_is_the_one_given(unit, mm):
    import pint

    assert (1 * pint.UnitRegistry()(unit)).m_as("mm") == pytest.approx(mm)
    mesh = mesh_of(BOX)
    mesh.apply_scale(1 / mm)
    assert read_mesh(stl(mesh), "stl", unit).solid.full_l == pytest.approx(48, rel=1e-5)


def test_a_3mf_says_its_own_unit():
    mesh = mesh_of(BOX)
    mesh.apply_scale(1 / 25.4)
    assert read_mesh(three_mf(mesh, "inch"), "3mf").solid.full_l == pytest.approx(48)
    told = read_mesh(three_mf(mesh_of(BOX), "inch"), "3mf", "mm")
    assert told.solid.full_l == pytest.approx(48)
    assert "says that its unit is 25.4 mm" in told.findings[0].words


def test_a_3mf_places_its_objects():
    """Turned a quarter about z and moved, then once more through a component: x becomes y twice."""
    turn = 'transform="0 1 0 -1 0 0 0 0 1 100 0 0"'
    once = read_mesh(three_mf(mesh_of(BOX), transform=turn), "3mf")
    assert once.sizes_mm == pytest.approx((400, 600, 200))
    assert once.solid.low_mm == pytest.approx((-300, 0, 0))
    twice = read_mesh(three_mf(mesh_of(BOX), transform=turn, through=turn), "3mf")
    assert twice.sizes_mm == pytest.approx((600, 400, 200))
    assert twice.solid.full_l == pytest.approx(48)


def test_inside_out_is_turned():
    mesh = mesh_of(WITH_POT)
    mesh.invert()
    report = read_mesh(stl(mesh), "stl", "mm")
    assert report.solid.full_l == pytest.approx(49.35, rel=1e-5)
    (found,) = report.findings
    assert "Inside out" in found.words
    assert found.mended == "Turned round."
    assert found.changed_l == pytest.approx(2 * 49.35, rel=1e-5)


def test_triangles_facing_the_other_way_are_turned():
    faces = WITH_POT.triangles.copy()
    faces[[2, 5]] = faces[[2, 5]][:, ::-1]
    report = read_mesh(stl(trimesh.Trimesh(WITH_POT.points_mm, faces, process=False)), "stl", "mm")
    assert report.solid.full_l == pytest.approx(49.35, rel=1e-5)
    assert report.findings[0].words == "2 triangles facing against their neighbours."


def test_a_flat_hole_is_closed_and_the_change_told():
    """The roof left open: the sum over the rest, about the middle of all points, misses a pyramid."""
    mesh = mesh_of(BOX)
    roof = np.all(BOX.points_mm[BOX.triangles][:, :, 2] == 200, axis=1)
    mesh.update_faces(~roof)
    report = read_mesh(stl(mesh), "stl", "mm")
    assert report.solid.full_l == pytest.approx(48, rel=1e-5)
    (found,) = report.findings
    assert "Not watertight: 4 open edges round 1 hole, the largest 721.1 mm across" in found.words
    assert found.mended == "Closed flat."
    assert found.changed_l == pytest.approx(600 * 400 * 100 / 3 / 1e6, rel=1e-5)


def test_several_holes_are_closed():
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=200)
    whole = mesh.volume / 1e6
    mesh.update_faces(~np.isin(np.arange(len(mesh.faces)), [5, 400, 900]))
    report = read_mesh(stl(mesh), "stl", "mm")
    assert report.solid.full_l == pytest.approx(whole, rel=1e-5)
    assert "9 open edges round 3 holes" in report.findings[0].words


def test_bodies_that_overlap_are_joined_and_not_counted_twice():
    """48 L and 6 L that share 2 L: 52 L."""
    both = trimesh.util.concatenate([mesh_of(BOX), mesh_of(solid_box((500, 100, 50), (300, 200, 100)))])
    report = read_mesh(stl(both), "stl", "mm")
    assert report.solid.full_l == pytest.approx(52, rel=1e-5)
    assert "2 separate bodies, which overlap" in report.findings[0].words
    assert report.findings[0].changed_l == pytest.approx(-2, rel=1e-4)


def test_bodies_apart_are_told():
    both = trimesh.util.concatenate([mesh_of(BOX), mesh_of(solid_box((700, 0, 0), (100, 100, 100)))])
    report = read_mesh(stl(both), "stl", "mm")
    assert report.solid.full_l == pytest.approx(49, rel=1e-5)
    assert "do not overlap" in report.findings[0].words


@pytest.mark.parametrize("inner_faces_inwards", [True, False])
@pytest.mark.parametrize(("take_inner", "litres"), [(True, 0.596 * 0.396 * 0.196 * 1000), (False, 48)])
def test_a_file_that_draws_the_sheet(inner_faces_inwards, take_inner, litres):
    """Both skins of 2 mm sheet; the liquid is within the inner one, not between them."""
    inner = mesh_of(solid_box((2, 2, 2), (596, 396, 196)))
    if inner_faces_inwards:
        inner.invert()
    skins = trimesh.util.concatenate([mesh_of(BOX), inner])
    report = read_mesh(stl(skins), "stl", "mm", take_inner)
    assert report.solid.full_l == pytest.approx(litres, rel=1e-5)
    assert "draws the sheet: an outer skin of 48.00 L and an inner one of 46.26 L" in report.findings[0].words


def test_a_surface_that_crosses_itself_is_refused_with_the_place():
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=200)
    points = mesh.vertices.copy()
    points[np.argmax(points[:, 0])] = (-250, 0, 0)  # a spike through the opposite wall
    with pytest.raises(TankInputError) as refusal:
        read_mesh(stl(trimesh.Trimesh(points, mesh.faces, process=False)), "stl", "mm")
    assert refusal.value.field == "file"
    assert "crosses itself in" in refusal.value.message
    assert "first near x -" in refusal.value.message


def test_a_faultless_ball_does_not_cross_itself():
    mesh = trimesh.creation.icosphere(subdivisions=5, radius=200)
    assert read_mesh(stl(mesh), "stl", "mm").findings == ()


def test_doubled_and_flat_triangles_are_left_out():
    faces = np.concatenate([BOX.triangles, BOX.triangles[:2], [[0, 0, 1]]])
    text = "".join(f"v {x} {y} {z}\n" for x, y, z in BOX.points_mm)
    text += "".join(f"f {a + 1} {b + 1} {c + 1}\n" for a, b, c in faces)
    report = read_mesh(text.encode(), "obj", "mm")
    assert report.solid.full_l == pytest.approx(48)
    assert [found.words for found in report.findings] == [
        "1 triangle without area.",
        "2 triangles drawn twice.",
    ]


def test_a_very_fine_mesh_is_thinned_out_and_told(monkeypatch):
    """A box in 49,152 triangles needs 12; bounds lowered to spare the time that 300,000 take."""
    monkeypatch.setattr(mesh_file, "FINEST_KEPT", 40_000)
    monkeypatch.setattr(mesh_file, "MOST_LOOKED_AT", 40_000)
    mesh = mesh_of(BOX)
    for _ in range(6):
        mesh = mesh.subdivide()
    report = read_mesh(stl(mesh), "stl", "mm")
    assert report.read_triangles == 49_152
    assert len(report.solid.triangles) == 12
    assert report.solid.full_l == pytest.approx(48, rel=1e-5)
    unlooked, thinned = report.findings
    assert "not looked at whether it crosses itself" in unlooked.words
    assert "49,152 triangles, far more than a tank needs" in thinned.words
    assert thinned.mended == "Thinned out to 12, within 0.02 mm of the surface."
    assert thinned.changed_l == pytest.approx(0, abs=1e-4)


def _metres() -> bytes:
    mesh = mesh_of(BOX)
    mesh.apply_scale(0.001)
    return stl(mesh)


def _three_at_an_edge() -> bytes:
    fins = [mesh_of(BOX), mesh_of(solid_box((600, 400, 0), (100, 100, 200)))]
    return stl(trimesh.util.concatenate(fins))


def _gaping() -> bytes:
    mesh = mesh_of(BOX)
    mesh.update_faces(~np.isin(np.arange(12), [0, 1, 4, 5]))
    return stl(mesh)


REFUSED = [
    ("unit", stl(mesh_of(BOX)), "stl", None, "does not say its unit"),
    ("unit", stl(mesh_of(BOX)), "stl", "furlong", "none of mm, cm, m, in, ft"),
    ("unit", _metres(), "stl", "mm", "would be 0.6 mm long. Was it drawn in metres"),
    ("unit", stl(mesh_of(BOX)), "stl", "m", "would be 6e+05 mm long. Was it drawn in millimetres"),
    ("file", b"", "stl", "mm", "it is empty"),
    ("file", b"%PDF-1.7 something", "stl", "mm", "this is a PDF, not STL"),
    ("file", b"ISO-10303-21; HEADER;", "stl", "mm", "a STEP file"),
    ("file", b"\x89PNG\r\n", "obj", "mm", "a PNG picture"),
    ("file", three_mf(mesh_of(BOX)), "stl", "mm", "a zip archive, not STL"),
    ("file", stl(mesh_of(BOX)), "3mf", "mm", "no 3MF package"),
    ("file", stl(mesh_of(BOX)), "step", "mm", "“.step” is no mesh"),
    ("file", stl(mesh_of(BOX))[:400], "stl", "mm", "says 12 triangles but ends after 6"),
    ("file", b"solid tank\nfacet normal 0 0 1\nouter loop", "stl", "mm", "breaks off before its end"),
    ("file", b"too short", "stl", "mm", "too short to hold one triangle"),
    ("file", b"just words", "obj", "mm", "holds no points"),
    ("file", b"v 0 0 0\nv 1 0 0\n", "obj", "mm", "File:"),
    ("file", b"PK\x03\x04 broken", "3mf", "mm", "cannot be read as 3MF"),
    (
        "file",
        b"\0" * 80 + struct.pack("<I", 2_000_000) + b"\0" * 100,
        "stl",
        "mm",
        "2,000,000 triangles, more than 1,000,000",
    ),
    ("file", _three_at_an_edge(), "stl", "mm", "shared by more than two triangles"),
    ("file", _gaping(), "stl", "mm", "far from flat"),
    ("file", stl(mesh_of(solid_box((0, 0, 0), (2000, 2000, 2000)))), "stl", "mm", "up to 2000 L"),
]


@pytest.mark.parametrize(
    ("field", "data", "kind", "unit", "words"), REFUSED, ids=[row[4][:30] for row in REFUSED]
)
def test_a_file_that_makes_no_tank_is_refused_in_words(field, data, kind, unit, words):
    with pytest.raises(TankInputError) as refusal:
        read_mesh(data, kind, unit)
    assert refusal.value.field == field
    assert words in refusal.value.message


def test_an_entity_bomb_in_a_3mf_is_refused():
    bomb = (
        '<?xml version="1.0"?><!DOCTYPE m [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
        "<model>&b;</model>"
    )
    package = io.BytesIO()
    with zipfile.ZipFile(package, "w") as archive:
        archive.writestr("3D/3dmodel.model", bomb)
    with pytest.raises(TankInputError, match="cannot be read as 3MF"):
        read_mesh(package.getvalue(), "3mf")

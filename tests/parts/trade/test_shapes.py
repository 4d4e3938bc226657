"""Mass and surface of simple shapes, against published tables and an independent library."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from parts.trade.shapes import (
    DENSITIES_KG_M3,
    ShapeError,
    Step,
    box_section,
    round_tube,
    sheet_blank,
    turned_part,
)

from .book import rows

STEEL, ALUMINIUM = 7850, 2700

# EN 10220 (from memory): outside diameter, wall, mass of one metre as printed, kg to two places.
TUBES = [
    (21.3, 2.0, 0.95),
    (26.9, 2.3, 1.40),
    (33.7, 2.6, 1.99),
    (42.4, 2.6, 2.55),
    (48.3, 3.2, 3.56),
    (60.3, 3.2, 4.51),
    (76.1, 3.2, 5.75),
    (88.9, 4.0, 8.38),
    (114.3, 4.0, 10.9),
]


@pytest.mark.parametrize(("diameter", "wall", "kg"), TUBES)
def test_round_tube_as_in_en_10220(diameter: float, wall: float, kg: float) -> None:
    places = 1 if kg >= 10 else 2
    assert round(round_tube(1000, diameter, wall).mass_kg(STEEL), places) == kg


# EN 10219-2, cold-formed square and oblong sections (from memory): mass of one metre and surface outside
# [m²/m]. Corners there: outside radius twice the wall, inside once.
SECTIONS = [
    (20, 20, 2.0, 1.05, 0.073),
    (30, 30, 2.0, 1.68, 0.113),
    (40, 40, 3.0, 3.30, 0.150),
    (50, 50, 3.0, 4.25, 0.190),
    (60, 40, 3.0, 4.25, 0.190),
    (80, 80, 4.0, 9.22, 0.306),
    (100, 50, 4.0, 8.59, 0.286),
]


@pytest.mark.parametrize(("width", "height", "wall", "kg", "outside_m2"), SECTIONS)
def test_box_section_as_in_en_10219(
    width: float, height: float, wall: float, kg: float, outside_m2: float
) -> None:
    made = box_section(1000, width, height, wall, corner_mm=2 * wall)
    assert round(made.mass_kg(STEEL), 2) == kg
    solid = box_section(1000, width, height, None, corner_mm=2 * wall)
    ends = 2 * solid.volume_mm3 / 1000
    assert round((solid.area_mm2 - ends) / 1e6, 3) == outside_m2


# 7.85 kg/m² and mm of steel, 2.70 of aluminium: handbooks' rule (EN 10029 and EN 485, from memory).
@pytest.mark.parametrize(
    ("thickness", "density", "kg_m2"), [(1, STEEL, 7.85), (3, STEEL, 23.55), (2, ALUMINIUM, 5.4)]
)
def test_sheet_by_the_square_metre(thickness: float, density: float, kg_m2: float) -> None:
    blank = sheet_blank(1000, 1000, thickness)
    assert blank.mass_kg(density) == pytest.approx(kg_m2)
    assert blank.area_m2 == pytest.approx(2 + 4 * thickness / 1000)


def test_round_bar_by_the_metre() -> None:
    """Round steel of 20 mm weighs 2.47 kg/m, of 50 mm 15.4 kg/m (EN 10060, from memory)."""
    assert round(round_tube(1000, 20).mass_kg(STEEL), 2) == 2.47
    assert round(round_tube(1000, 50).mass_kg(STEEL), 1) == 15.4


def mesh_of(steps: list[Step], bore: float) -> Any:
    """An independent solid: the outline turned about the axis by trimesh, in 720 flat faces."""
    outline, along = [(bore / 2, 0.0)], 0.0
    for step in steps:
        outline.append((step.from_mm / 2, along))
        along += step.length_mm
        outline.append((step.to_mm / 2, along))
    outline.append((bore / 2, along))
    if bore:
        outline.append(outline[0])
    return trimesh.creation.revolve(np.array(outline), sections=720)


TURNED = [
    ([Step(40, 30, 30)], 0.0),
    ([Step(40, 30, 30), Step(10, 50, 50), Step(25, 20, 20)], 0.0),
    ([Step(40, 30, 30), Step(10, 50, 50), Step(25, 20, 20)], 12.0),
    ([Step(30, 20, 60), Step(12, 60, 60), Step(8, 60, 40)], 8.0),
]


@pytest.mark.parametrize(("steps", "bore"), TURNED)
def test_turned_part_against_a_mesh(steps: list[Step], bore: float) -> None:
    """A polygon of 720 sides differs from the circle by 1 part in 80 000 in area."""
    made, mesh = turned_part(steps, bore), mesh_of(steps, bore)
    assert made.volume_mm3 == pytest.approx(abs(mesh.volume), rel=2e-5)
    assert made.area_mm2 == pytest.approx(mesh.area, rel=2e-5)


def test_box_against_a_mesh() -> None:
    mesh = trimesh.creation.box((300, 200, 80))
    made = box_section(300, 200, 80)
    assert (made.volume_mm3, made.area_mm2) == (pytest.approx(mesh.volume), pytest.approx(mesh.area))


def test_a_cone_of_the_textbook() -> None:
    """r = 40, h = 30, so the slant is 50: V = 16 000 π, A = π r s + π r² = 3600 π."""
    cone = turned_part([Step(30, 0, 80)])
    assert cone.volume_mm3 == pytest.approx(16_000 * math.pi)
    assert cone.area_mm2 == pytest.approx(3_600 * math.pi)


SIZES = st.floats(1, 2000)


@given(SIZES, SIZES, st.floats(0.01, 0.49))
def test_a_turned_tube_is_a_tube(length: float, diameter: float, share: float) -> None:
    wall = share * diameter
    turned = turned_part([Step(length, diameter, diameter)], bore_mm=diameter - 2 * wall)
    tube = round_tube(length, diameter, wall)
    assert turned.volume_mm3 == pytest.approx(tube.volume_mm3)
    assert turned.area_mm2 == pytest.approx(tube.area_mm2)


@given(SIZES, SIZES, SIZES, st.floats(0.01, 0.49))
def test_a_thicker_wall_is_never_lighter(length: float, width: float, height: float, share: float) -> None:
    wall = share * min(width, height)
    thin, thick = (box_section(length, width, height, each) for each in (wall / 2, wall))
    block = box_section(length, width, height)
    assert thin.volume_mm3 < thick.volume_mm3 < block.volume_mm3


def test_a_box_with_the_roundest_corners_is_a_tube() -> None:
    box, tube = box_section(500, 60, 60, 4, corner_mm=30), round_tube(500, 60, 4)
    assert box.volume_mm3 == pytest.approx(tube.volume_mm3)
    assert box.area_mm2 == pytest.approx(tube.area_mm2)


def test_every_metal_of_the_list_has_a_density() -> None:
    without = {row["key"] for row in rows("materials.csv")} - set(DENSITIES_KG_M3)
    assert without == {"leather_cloth", "glass", "rubber", "other"}


@pytest.mark.parametrize(
    ("measure", "field", "words"),
    [
        (lambda: sheet_blank(0, 10, 1), "length_mm", "greater than 0"),
        (lambda: sheet_blank(10, math.nan, 1), "width_mm", "greater than 0"),
        (lambda: sheet_blank(10, 10, 1e9), "thickness_mm", "up to 20000 mm"),
        (lambda: round_tube(100, 20, 10), "wall_mm", "leaves no bore"),
        (lambda: round_tube(100, 20, -1), "wall_mm", "greater than 0"),
        (lambda: box_section(100, 20, 30, 10), "wall_mm", "leaves nothing open"),
        (lambda: box_section(100, 20, 30, 1, corner_mm=11), "corner_mm", "from 0 to 10 mm"),
        (lambda: turned_part([]), "steps", "at least one step"),
        (lambda: turned_part([Step(10, 20, 20), Step(0, 5, 5)]), "steps", "Step 2: a length"),
        (lambda: turned_part([Step(10, 0, 0)]), "steps", "Step 1: one of its diameters"),
        (lambda: turned_part([Step(10, -1, 5)]), "steps", "Step 1: a diameter"),
        (lambda: turned_part([Step(10, 20, 8)], bore_mm=8), "bore_mm", "comes through the outside"),
        (lambda: turned_part([Step(10, 20, 8)], bore_mm=-2), "bore_mm", "0 or greater"),
        (lambda: sheet_blank(10, 10, 1).mass_kg(0), "density_kg_m3", "from 10 to 25 000"),
    ],
)
def test_a_size_that_cannot_be_is_refused_by_name(measure: Any, field: str, words: str) -> None:
    with pytest.raises(ShapeError, match=words) as refused:
        measure()
    assert refused.value.field == field

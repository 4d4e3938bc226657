"""How long 200 depths of a fine mesh take, and how exact they are: `python -m tests.benchmarks.tanks`.

Beside the exact cut, in the same run and on the same mesh, what a general mesh library makes easy: a section
at each depth, its area, and the areas summed; and, at a tenth of the depths, a solid modeller that trims the
solid. The ball shows the error of each against V = πh²(3R − h)/3; the standing rod, whose triangles are
crossed by most depths, is the harder mesh.
"""

import math

import numpy as np
import trimesh
from numpy.typing import NDArray

from engineering.tank.attitude import Attitude
from engineering.tank.solid import Solid, to_manifold
from tests.benchmarks.measuring import measured, print_machine, print_table

RADIUS_MM = 200.0
DEPTHS = 200
UP = Attitude(nose_up_deg=3, left_up_deg=2).up()

Floats = NDArray[np.float64]


def solid_of(mesh: trimesh.Trimesh) -> Solid:
    return Solid(np.asarray(mesh.vertices), np.asarray(mesh.faces, dtype=np.int64))


def sliced_and_summed(mesh: trimesh.Trimesh, levels: Floats) -> Floats:
    """The plain way: the area of each section, times the step, from the bottom up (trapezoids)."""
    areas = np.zeros(len(levels))
    for number, level in enumerate(levels):
        section = mesh.section(plane_origin=UP * level, plane_normal=UP)
        if section is not None:
            areas[number] = sum(_area(np.asarray(loop)) for loop in section.discrete)
    steps = np.diff(levels) * (areas[1:] + areas[:-1]) / 2
    return np.concatenate([[0.0], np.cumsum(steps)]) / 1e6


def _area(loop: Floats) -> float:
    """Of one closed loop of points; enough for shapes whose sections have no holes."""
    about = loop - loop[0]
    return abs(float(np.cross(about[:-1], about[1:]).sum(axis=0) @ UP)) / 2


def trimmed(solid: Solid, levels: Floats) -> Floats:
    whole = to_manifold(solid)
    return np.array([whole.trim_by_plane(tuple(-UP), -level).volume() for level in levels]) / 1e6


def errors(found: Floats, exact: Floats) -> str:
    """Against the volume at each depth from a fiftieth of the height, and against the whole."""
    relative = np.abs(found / exact - 1)[4:]
    of_all = np.abs(found - exact).max() / exact[-1]
    return f"worst {relative.max():.5%} of the volume there, {of_all:.5%} of all"


def main() -> None:
    print_machine()
    ball = trimesh.creation.icosphere(subdivisions=6, radius=RADIUS_MM)
    rod = trimesh.creation.cylinder(radius=RADIUS_MM, height=2 * RADIUS_MM, sections=25_000)
    for name, mesh in (("ball", ball), ("standing rod", rod)):
        solid = solid_of(mesh)
        low, high = solid.span_mm(UP)
        levels = np.linspace(low, high, DEPTHS)
        few = levels if mesh is ball else levels[::20]
        rows = [
            measured("exact cut of all depths at once", lambda s=solid, at=levels: s.litres_below(UP, at)),
            measured(
                f"general mesh library, {len(few)} sections, summed",
                lambda m=mesh, at=few: sliced_and_summed(m, at),
                runs=1,
            ),
        ]
        if mesh is ball:  # closing the cuts of the rod takes it minutes
            tenth = levels[::10]
            rows.append(
                measured(
                    f"solid modeller, trimmed at {len(tenth)} depths",
                    lambda s=solid, at=tenth: trimmed(s, at),
                    runs=1,
                )
            )
        print_table(f"{DEPTHS} depths of a {name} of {len(mesh.faces):,} triangles, on a slope", rows)
    levels = np.linspace(-RADIUS_MM, RADIUS_MM, DEPTHS)
    depths = levels + RADIUS_MM
    with np.errstate(invalid="ignore"):
        exact = math.pi * depths**2 * (3 * RADIUS_MM - depths) / 3 / 1e6
        solid = solid_of(ball)
        # the corners lie on the ball: so much its mesh falls short of it, whoever cuts
        scale = exact[-1] / solid.full_l
        print("\nThe ball against its closed form, the mesh's own shortfall made good")
        print(f"  exact cut:             {errors(scale * solid.litres_below(UP, levels), exact)}")
        print(f"  sections summed:       {errors(scale * sliced_and_summed(ball, levels), exact)}")
        print(f"  solid modeller:        {errors(scale * trimmed(solid, levels[::10]), exact[::10])}")
    print(f"  shortfall of the mesh: {1 - 1 / scale:.5%}")


if __name__ == "__main__":
    main()

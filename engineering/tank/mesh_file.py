"""A mesh from a drawing program, looked over: what is wrong, what was mended, and the tank that it makes."""

import math
from dataclasses import dataclass

import numpy as np
from trimesh import Trimesh, graph, repair

from engineering.tank.cutting import Floats, Ints
from engineering.tank.errors import TankError, TankInputError
from engineering.tank.inputs import LARGEST_L
from engineering.tank.mesh_crossing import MOST_LOOKED_AT, crossings
from engineering.tank.mesh_holes import close_holes
from engineering.tank.mesh_parts import FIELD, RawMesh, parse_mesh
from engineering.tank.solid import Solid, cut, from_manifold, joined, to_manifold
from engineering.tank.units import MM_PER_UNIT, UNIT_WORDS

FINEST_KEPT = 300_000
"""Triangles above which a mesh is thinned out."""
THINNED_WITHIN_MM = 0.02
_SMALLEST_MM, _LARGEST_MM = 20.0, 5000.0
_LIKELY_MM = (80.0, 3000.0)
_WELD_MM = 1e-4


@dataclass(frozen=True)
class Finding:
    """One thing that was found in a file.

    Parameters
    ----------
    words : str
        What it is, for people.
    mended : str
        What was done about it; empty where nothing had to be.
    changed_l : float or None
        By how much that changed the volume; None where it could not be told before [L].
    """

    words: str
    mended: str = ""
    changed_l: float | None = 0.0


@dataclass(frozen=True, eq=False)
class MeshReport:
    """A tank from a file, and all that was found on the way.

    Parameters
    ----------
    solid : Solid
        The inside of the tank, closed and facing outwards.
    findings : tuple of Finding
        In the order in which they were met; empty for a faultless file.
    read_triangles : int
        How many the file has.
    sizes_mm : tuple of float
        Length, width and height [mm].
    """

    solid: Solid
    findings: tuple[Finding, ...]
    read_triangles: int
    sizes_mm: tuple[float, float, float]


def read_mesh(data: bytes, kind: str, unit: str | None = None, take_inner_skin: bool = True) -> MeshReport:
    """The inside of a tank from an STL, OBJ or 3MF file.

    Parameters
    ----------
    data : bytes
        The whole file.
    kind : str
        'stl', 'obj' or '3mf'.
    unit : str or None
        'mm', 'cm', 'm', 'in' or 'ft'. STL and OBJ do not say theirs, so it must be given; None takes what a
        3MF says of itself.
    take_inner_skin : bool
        Where the file draws the sheet, with an outer and an inner skin: take the inner, which holds the
        liquid, or the outer.

    Returns
    -------
    MeshReport

    Raises
    ------
    TankInputError
        Of 'file' or 'unit': what is wrong with it, where, and what to do. Nothing half mended is given.
    """
    raw = parse_mesh(data, kind)
    findings: list[Finding] = []
    points = raw.points * _scale(raw, unit, findings)
    _check_sizes(points, unit)
    points, triangles = _welded(points, raw.triangles, findings)
    triangles = _facing_alike(points, triangles, findings)
    points, triangles = _closed(points, triangles, findings)
    solid = _outwards(points, triangles, findings, take_inner_skin)
    _check_crossing(solid, findings)
    solid = _thinned(solid, findings)
    if solid.full_l > LARGEST_L:
        raise TankInputError(
            FIELD,
            f"File: it holds {solid.full_l:.0f} L, and tanks of a car hold up to {LARGEST_L:g} L.",
        )
    long, wide, high = (float(size) for size in solid.high_mm - solid.low_mm)
    return MeshReport(solid, tuple(findings), len(raw.triangles), (long, wide, high))


def _scale(raw: RawMesh, unit: str | None, findings: list[Finding]) -> float:
    if unit is None:
        if raw.own_mm is None:
            raise TankInputError(
                "unit",
                "Unit: this kind of file does not say its unit. Say whether it is in millimetres or what.",
            )
        return raw.own_mm
    if unit not in MM_PER_UNIT:
        raise TankInputError("unit", f"Unit: “{unit}” is none of {', '.join(MM_PER_UNIT)}.")
    if raw.own_mm is not None and not math.isclose(raw.own_mm, MM_PER_UNIT[unit]):
        findings.append(
            Finding(
                f"The file says that its unit is {raw.own_mm:g} mm; taken as {UNIT_WORDS[unit]}, as you said."
            )
        )
    return MM_PER_UNIT[unit]


def _check_sizes(points_mm: Floats, unit: str | None) -> None:
    sizes = points_mm.max(axis=0) - points_mm.min(axis=0)
    largest = float(sizes.max())
    if _SMALLEST_MM <= largest <= _LARGEST_MM:
        return
    given = largest / MM_PER_UNIT.get(unit or "mm", 1.0)
    likely = [
        UNIT_WORDS[name]
        for name, factor in MM_PER_UNIT.items()
        if name != unit and _LIKELY_MM[0] <= given * factor <= _LIKELY_MM[1]
    ]
    hint = f" Was it drawn in {' or '.join(likely)}?" if likely else " Check the drawing."
    raise TankInputError(
        "unit", f"Unit: taken as {UNIT_WORDS[unit or 'mm']} the tank would be {largest:.4g} mm long.{hint}"
    )


def _welded(points: Floats, triangles: Ints, findings: list[Finding]) -> tuple[Floats, Ints]:
    """Corners in the same place made one, and triangles without area or doubled left out."""
    grid = np.round((points - points.min(axis=0)) / _WELD_MM).astype(np.int64)
    first, numbers = _same_rows(grid)
    welded = numbers[triangles]
    flat = (welded[:, 0] == welded[:, 1]) | (welded[:, 1] == welded[:, 2]) | (welded[:, 2] == welded[:, 0])
    kept = welded[~flat]
    once, _ = _same_rows(np.sort(kept, axis=1))
    doubled = len(kept) - len(once)
    for count, words in ((int(flat.sum()), "without area"), (doubled, "drawn twice")):
        if count:
            findings.append(Finding(f"{_triangles(count)} {words}.", "Left out."))
    return points[first], kept[np.sort(once)]


def _facing_alike(points: Floats, triangles: Ints, findings: list[Finding]) -> Ints:
    """Neighbours wound the same way round."""
    directed = _edges(triangles)
    against = len(directed) - _different(directed)
    if not against:
        return triangles
    mesh = Trimesh(points, triangles, process=False)
    repair.fix_winding(mesh)  # type: ignore[no-untyped-call]
    turned = np.array(mesh.faces, dtype=np.int64)
    directed = _edges(turned)
    if _different(directed) < len(directed):
        return triangles  # more than two triangles at an edge: told by what follows
    changed = int((turned != triangles).any(axis=1).sum())
    findings.append(
        Finding(
            f"{_triangles(min(changed, len(triangles) - changed))} facing against their neighbours.",
            "Turned round.",
            None,
        )
    )
    return turned


def _closed(points: Floats, triangles: Ints, findings: list[Finding]) -> tuple[Floats, Ints]:
    edges = np.sort(_edges(triangles), axis=1)
    first, number = _same_rows(edges)
    counts = np.bincount(number)
    crowded = edges[first[counts > 2]]
    if len(crowded):
        raise TankInputError(
            FIELD,
            f"File: {len(crowded)} {'edge is' if len(crowded) == 1 else 'edges are'} shared by more than two "
            f"triangles, first near {_where(points[crowded[0]].mean(axis=0))}. Faces meet there that should "
            "not: join the bodies in the drawing program and export again.",
        )
    if not (counts == 1).any():
        return points, triangles
    before_l = _signed_l(points, triangles)
    mended, holes, largest_mm, at = close_holes(points, triangles)
    findings.append(
        Finding(
            f"Not watertight: {int((counts == 1).sum())} open edges round {holes} "
            f"{'hole' if holes == 1 else 'holes'}, the largest {largest_mm:.1f} mm across near {_where(at)}.",
            "Closed flat.",
            abs(_signed_l(points, mended)) - abs(before_l),
        )
    )
    return points, mended


def _outwards(points: Floats, triangles: Ints, findings: list[Finding], take_inner: bool) -> Solid:
    """One solid from all lumps of the file, whichever way they face."""
    lumps = []
    for part in _lumps(triangles):
        signed_l = _signed_l(points, part)
        lumps.append((Solid(*_compact(points, part if signed_l > 0 else part[:, ::-1])), signed_l))
    if len(lumps) == 1 and lumps[0][1] < 0:
        findings.append(
            Finding(
                f"Inside out: all its faces look inwards, so that it would hold {lumps[0][1]:.2f} L.",
                "Turned round.",
                -2 * lumps[0][1],
            )
        )
    if len(lumps) == 1:
        return _sound(lumps[0][0])
    depth = [sum(_holds(other, lump) for other, _ in lumps if other is not lump) for lump, _ in lumps]
    at_depth = [[lump for (lump, _), d in zip(lumps, depth, strict=True) if d == level] for level in range(3)]
    if at_depth[1]:
        return _of_skins(at_depth, findings, take_inner)
    return _of_bodies(at_depth[0], findings)


def _of_skins(at_depth: list[list[Solid]], findings: list[Finding], take_inner: bool) -> Solid:
    outer, inner = joined(at_depth[0]), joined(at_depth[1])
    inner = cut(inner, at_depth[2])
    taken = inner if take_inner else outer
    findings.append(
        Finding(
            f"The file draws the sheet: an outer skin of {outer.full_l:.2f} L and an inner one of "
            f"{inner.full_l:.2f} L.",
            f"Took the {'inner, which holds the liquid' if take_inner else 'outer, as you said'}.",
            None,
        )
    )
    return taken


def _of_bodies(bodies: list[Solid], findings: list[Finding]) -> Solid:
    whole = joined([_sound(body) for body in bodies])
    apart_l = sum(body.full_l for body in bodies)
    changed_l = whole.full_l - apart_l
    words = f"{len(bodies)} separate bodies"
    if changed_l < -1e-6 * apart_l:
        findings.append(Finding(f"{words}, which overlap and would be counted twice.", "Joined.", changed_l))
    else:
        findings.append(Finding(f"{words} that do not overlap; liquid is taken to pass between them."))
    return whole


def _holds(outer: Solid, inner: Solid) -> bool:
    """Whether one lump lies wholly within another."""
    if not (np.all(outer.low_mm < inner.low_mm) and np.all(outer.high_mm > inner.high_mm)):
        return False
    try:
        left = to_manifold(inner) - to_manifold(outer)
    except TankError:
        return False
    return float(left.volume()) <= 1e-9 * inner.full_l * 1e6


def _sound(solid: Solid) -> Solid:
    try:
        to_manifold(solid)
    except TankError as error:
        raise TankInputError(
            FIELD,
            "File: its surface does not close to a solid even after mending. Rebuild the body in the "
            "drawing program and export again.",
        ) from error
    return solid


def _check_crossing(solid: Solid, findings: list[Finding]) -> None:
    if len(solid.triangles) > MOST_LOOKED_AT:
        findings.append(
            Finding(f"More than {MOST_LOOKED_AT:,} triangles: not looked at whether it crosses itself.")
        )
        return
    places = crossings(solid.points_mm, solid.triangles)
    if len(places):
        raise TankInputError(
            FIELD,
            f"File: its surface crosses itself in {len(places)} {'place' if len(places) == 1 else 'places'}, "
            f"first near {_where(places[0])}, so that its volume means nothing. Mend the body there and "
            "export again.",
        )


def _thinned(solid: Solid, findings: list[Finding]) -> Solid:
    if len(solid.triangles) <= FINEST_KEPT:
        return solid
    thin = from_manifold(to_manifold(solid).simplify(THINNED_WITHIN_MM))
    if len(thin.triangles) == len(solid.triangles):
        return solid  # all of them are needed to stay so near the surface
    findings.append(
        Finding(
            f"{len(solid.triangles):,} triangles, far more than a tank needs.",
            f"Thinned out to {len(thin.triangles):,}, within {THINNED_WITHIN_MM:g} mm of the surface.",
            thin.full_l - solid.full_l,
        )
    )
    return thin


def _lumps(triangles: Ints) -> list[Ints]:
    """Triangles that hang together."""
    edges = np.sort(_edges(triangles), axis=1)
    _, number = _same_rows(edges)
    owner = np.tile(np.arange(len(triangles)), 3)
    order = np.argsort(number, kind="stable")
    pairs = owner[order].reshape(-1, 2)  # every edge has two triangles by now
    labels = graph.connected_component_labels(  # type: ignore[no-untyped-call]
        pairs, node_count=len(triangles)
    )
    return [triangles[labels == label] for label in range(int(labels.max()) + 1)]


def _compact(points: Floats, triangles: Ints) -> tuple[Floats, Ints]:
    used, numbers = np.unique(triangles, return_inverse=True)
    return points[used], numbers.reshape(triangles.shape)


def _same_rows(rows: Ints) -> tuple[Ints, Ints]:
    """The first of each different row, and for every row which of these it is."""
    order = np.lexsort(rows.T)
    ordered = rows[order]
    new = np.concatenate([[True], (ordered[1:] != ordered[:-1]).any(axis=1)])
    numbers = np.empty(len(rows), dtype=np.int64)
    numbers[order] = np.cumsum(new) - 1
    return order[new], numbers


def _different(rows: Ints) -> int:
    return len(_same_rows(rows)[0])


def _edges(triangles: Ints) -> Ints:
    return np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])


def _signed_l(points: Floats, triangles: Ints) -> float:
    corners = points[triangles] - points.mean(axis=0)
    return float(np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum()) / 6e6


def _triangles(count: int) -> str:
    return f"{count:,} {'triangle' if count == 1 else 'triangles'}"


def _where(place: Floats) -> str:
    return "x {:.4g}, y {:.4g}, z {:.4g} mm".format(*(float(value) + 0.0 for value in place))

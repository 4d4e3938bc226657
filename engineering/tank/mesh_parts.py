"""Bytes of an STL, OBJ or 3MF file to bare triangles, before anybody looks whether they make a tank."""

import io
import re
import struct
import zipfile
from dataclasses import dataclass

import numpy as np
import trimesh
from defusedxml import DefusedXmlException  # type: ignore[import-untyped]
from defusedxml.ElementTree import (  # type: ignore[import-untyped]
    ParseError,
    fromstring,
)

from engineering.tank.cutting import Floats, Ints
from engineering.tank.errors import TankInputError

FIELD = "file"
MOST_TRIANGLES = 1_000_000
MOST_MODEL_BYTES = 400_000_000

_OTHER_KINDS = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"ISO-10303-21", "a STEP file, which holds surfaces and no triangles"),
    (b"AutoCAD Binary DXF", "a DXF drawing: give it as a side profile"),
    (b"AC10", "a DWG drawing: save it as DXF and give it as a side profile"),
    (b"glTF", "a glTF scene"),
    (b"\xd0\xcf\x11\xe0", "an old office file"),
)
_THREE_MF_UNITS = {
    "micron": 0.001, "millimeter": 1.0, "centimeter": 10.0, "inch": 25.4, "foot": 304.8, "meter": 1000.0
}  # fmt: skip
"""Units that the 3MF core specification knows; it takes millimetres where none is written."""


@dataclass(frozen=True, eq=False)
class RawMesh:
    """Triangles as a file has them.

    Parameters
    ----------
    points : ndarray, shape (n, 3)
        Corners, in the units of the file.
    triangles : ndarray, shape (m, 3)
        Numbers of the corners.
    own_mm : float or None
        Millimetres to the unit, where the file itself says so.
    """

    points: Floats
    triangles: Ints
    own_mm: float | None = None


def parse_mesh(data: bytes, kind: str) -> RawMesh:
    """Triangles of a file.

    Parameters
    ----------
    data : bytes
        The whole file.
    kind : str
        'stl', 'obj' or '3mf'.

    Returns
    -------
    RawMesh

    Raises
    ------
    TankInputError
        Of 'file': another kind of file, broken, empty, or more than a million triangles.
    """
    kind = kind.lower().lstrip(".")
    if kind not in ("stl", "obj", "3mf"):
        raise TankInputError(
            FIELD, f"File: “.{kind}” is no mesh. Export the inside of the tank as STL, OBJ or 3MF."
        )
    if not data:
        raise TankInputError(FIELD, "File: it is empty. Export it again.")
    _refuse_other_kinds(data, kind)
    if kind == "3mf":
        raw = _three_mf(data)
    else:
        _check_size(_announced(data, kind))
        if kind == "stl":
            _check_stl(data)
        raw = _by_library(data, kind)
    if not len(raw.triangles):
        raise TankInputError(FIELD, "File: there are no triangles in it. Export a solid body, as a mesh.")
    _check_size(len(raw.triangles))
    if not np.all(np.isfinite(raw.points)):
        raise TankInputError(FIELD, "File: some of its points are not numbers. Export it again.")
    return raw


def _refuse_other_kinds(data: bytes, kind: str) -> None:
    start = data[:64].lstrip()
    for magic, words in _OTHER_KINDS:
        if start.startswith(magic):
            raise TankInputError(
                FIELD, f"File: this is {words}, not {kind.upper()}. Export the inside of the tank as a mesh."
            )
    if (kind == "3mf") != start.startswith(b"PK"):
        found = "a zip archive" if start.startswith(b"PK") else "no 3MF package"
        raise TankInputError(FIELD, f"File: this is {found}, not {kind.upper()}. Check which file it is.")


def _announced(data: bytes, kind: str) -> int:
    """How many triangles there will be, before they are read."""
    if kind == "obj":
        return data.count(b"\nf ")
    if _is_text(data):
        return data.count(b"endfacet")
    return int(struct.unpack("<I", data[80:84])[0]) if len(data) >= 84 else 0


def _is_text(data: bytes) -> bool:
    """An STL in words; some binary ones begin with 'solid' as well."""
    return data[:512].lstrip().startswith(b"solid") and b"facet" in data[:2048]


def _check_size(triangles: int) -> None:
    if triangles > MOST_TRIANGLES:
        raise TankInputError(
            FIELD,
            f"File: it has {triangles:,} triangles, more than {MOST_TRIANGLES:,}. Export it coarser: with a "
            "tolerance of 0.1 mm a tank needs some ten thousand.",
        )


def _check_stl(data: bytes) -> None:
    if _is_text(data):
        if b"endsolid" not in data[-2048:]:
            raise TankInputError(FIELD, "File: it breaks off before its end. Copy or export it again.")
        return
    if len(data) < 84:
        raise TankInputError(FIELD, "File: this is no STL: it is too short to hold one triangle.")
    count = _announced(data, "stl")
    if len(data) < 84 + 50 * count:
        raise TankInputError(
            FIELD,
            f"File: it says {count:,} triangles but ends after {(len(data) - 84) // 50:,}. It is no STL, or "
            "was cut short: copy or export it again.",
        )


def _by_library(data: bytes, kind: str) -> RawMesh:
    if kind == "obj" and not re.search(rb"^v\s", data, re.MULTILINE):
        raise TankInputError(FIELD, "File: this is no OBJ: it holds no points. Check which file it is.")
    options = {"skip_materials": True} if kind == "obj" else {}
    try:
        mesh = trimesh.load_mesh(io.BytesIO(data), file_type=kind, process=False, **options)
        return RawMesh(
            np.array(mesh.vertices, dtype=np.float64), np.array(mesh.faces, dtype=np.int64).reshape(-1, 3)
        )
    except Exception as error:  # the library raises whatever a broken file runs into
        raise TankInputError(
            FIELD, f"File: it cannot be read as {kind.upper()}. Export it again from the drawing program."
        ) from error


def _three_mf(data: bytes) -> RawMesh:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            models = [entry for entry in package.infolist() if entry.filename.lower().endswith(".model")]
            if not models:
                raise TankInputError(
                    FIELD, "File: this zip archive holds no 3MF model. Check which one it is."
                )
            main = min(models, key=lambda entry: len(entry.filename))
            if main.file_size > MOST_MODEL_BYTES:
                raise TankInputError(FIELD, "File: the model in it is too large. Export it coarser.")
            root = fromstring(package.read(main))
    except (zipfile.BadZipFile, ParseError, DefusedXmlException, NotImplementedError, RuntimeError) as error:
        raise TankInputError(FIELD, "File: it cannot be read as 3MF. Export it again.") from error
    try:
        return _built(root)
    except (KeyError, ValueError, TypeError, RecursionError, IndexError) as error:
        raise TankInputError(FIELD, "File: its 3MF model is broken. Export it again.") from error


def _built(root: "object") -> RawMesh:
    """All items of the build, each where it stands."""
    name = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
    find, findall = root.find, root.findall  # type: ignore[attr-defined]
    unit = root.get("unit", "millimeter")  # type: ignore[attr-defined]
    objects = {one.get("id"): one for one in findall(f".//{name}object")}

    def parts(one: "object", place: Floats, depth: int) -> list[tuple[Floats, Ints]]:
        if depth > 16:
            raise ValueError("nested too deeply")
        mesh = one.find(f"{name}mesh")  # type: ignore[attr-defined]
        if mesh is not None:
            points = np.array(
                [[float(v.get(axis)) for axis in "xyz"] for v in mesh.iter(f"{name}vertex")], dtype=np.float64
            ).reshape(-1, 3)
            faces = np.array(
                [[int(t.get(corner)) for corner in ("v1", "v2", "v3")] for t in mesh.iter(f"{name}triangle")],
                dtype=np.int64,
            ).reshape(-1, 3)
            if len(faces) and (faces.min() < 0 or faces.max() >= len(points)):
                raise ValueError("a triangle names a point that is not there")
            return [(points @ place[:3] + place[3], faces)]
        return [
            part
            for component in one.iter(f"{name}component")  # type: ignore[attr-defined]
            for part in parts(objects[component.get("objectid")], _chained(component, place), depth + 1)
        ]

    build = find(f"{name}build")
    items = list(build.iter(f"{name}item")) if build is not None else []
    start = np.vstack([np.eye(3), np.zeros(3)])
    pieces = [
        part for item in items for part in parts(objects[item.get("objectid")], _chained(item, start), 0)
    ]
    if not pieces:
        return RawMesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
    offsets = np.cumsum([0, *(len(points) for points, _ in pieces)])
    return RawMesh(
        np.concatenate([points for points, _ in pieces]),
        np.concatenate([faces + offset for (_, faces), offset in zip(pieces, offsets, strict=False)]),
        _THREE_MF_UNITS[unit],
    )


def _chained(element: "object", place: Floats) -> Floats:
    """A 3MF transform, twelve figures by rows for row vectors, before `place`."""
    words = element.get("transform")  # type: ignore[attr-defined]
    own = (
        np.array([float(word) for word in words.split()]).reshape(4, 3)
        if words
        else np.vstack([np.eye(3), np.zeros(3)])
    )
    return np.vstack([own[:3] @ place[:3], own[3] @ place[:3] + place[3]])

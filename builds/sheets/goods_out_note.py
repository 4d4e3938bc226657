"""What stands on the goods-out note of a finishing batch, and the photos printed on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from builds.sheets.finishing import BatchSheet, Piece
from parts.batching.lots import Verdict
from parts.models import StoredFile

# Before any wet or hot finish. Common practice, no source.
BEFORE_IT_LEAVES = (
    "Before it leaves: fuel, oil and grease out; bearings, rubber and plastic off; closed sections vented "
    "and drained; masking as written. The finisher’s own rules and the local ones come first: a competent "
    "person decides."
)
# Galvanizers Association of Australia, design guide for hot dip galvanizing.
SEALED_HOLLOW = (
    "Explosion hazard: in the zinc bath, moisture in a sealed hollow section turns to steam and bursts it. "
    "Vent and drain every closed section, at opposite ends, before it goes."
)
CLOSED_SECTIONS = {"galvanise": SEALED_HOLLOW}


@dataclass(frozen=True)
class NoteLine:
    """One ruled line: a piece, its drawing and its photo."""

    piece: Piece
    drawing: StoredFile | None
    photo_name: str  # as `fo-image:NAME`; empty where there is no photo
    care: str  # what the finisher should mind about the material


@dataclass(frozen=True)
class Note:
    """The lines, and the bytes of the photos by name."""

    lines: tuple[NoteLine, ...]
    images: dict[str, bytes]
    cautions: tuple[str, ...]


def read_note(sheet: BatchSheet) -> Note:
    """Read drawings and photos: three queries at most, and one file for each photo."""
    part_ids = [piece.operation.part_id for piece in sheet.pieces]
    drawings = _newest(StoredFile.objects.drawings().filter(part__in=part_ids))
    photos = _newest(StoredFile.objects.photos().filter(part__in=part_ids))
    images = {
        f"photo-{part_id}": content for part_id, photo in photos.items() if (content := _content(photo))
    }
    hazard = CLOSED_SECTIONS.get(sheet.batch.process.key)
    return Note(
        lines=tuple(_line(piece, drawings, images) for piece in sheet.pieces),
        images=images,
        cautions=(hazard, BEFORE_IT_LEAVES) if hazard else (BEFORE_IT_LEAVES,),
    )


def total_columns(sheet: BatchSheet) -> Sequence[str]:
    """Count and mass of all, in words."""
    total = sheet.tally
    mass = f"{total.mass_kg:.2f} kg" if total.mass_kg else "not weighed"
    unweighed = (
        f", and {total.pieces_unweighed} not weighed" if total.mass_kg and total.pieces_unweighed else ""
    )
    return f"{total.pieces}", mass + unweighed


def _line(piece: Piece, drawings: dict[int, StoredFile], images: dict[str, bytes]) -> NoteLine:
    operation = piece.operation
    # once it has gone, only the drawing that went with it counts
    drawing = operation.sent_drawing if operation.sent_on else drawings.get(operation.part_id)
    name = f"photo-{operation.part_id}"
    minds = piece.candidate.verdict is Verdict.CARE
    return NoteLine(piece, drawing, name if name in images else "", piece.candidate.reason if minds else "")


def _newest(files: Iterable[StoredFile]) -> dict[int, StoredFile]:
    """The first of each part: files come newest first."""
    found: dict[int, StoredFile] = {}
    for file in files:
        if file.part_id is not None:
            found.setdefault(file.part_id, file)
    return found


def _content(photo: StoredFile) -> bytes:
    """A photo that has gone from the disk leaves an empty place on the note, not a missing note."""
    try:
        with photo.file.open("rb") as file:
            return bytes(file.read())
    except OSError:
        return b""

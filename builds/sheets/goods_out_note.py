"""What stands on a goods-out note and on the labels that go with it, and the photos and codes on both."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from builds.codes import qr_png
from parts.models import FinishingBatch, MaterialVerdict, Operation, Overrule, Process, StoredFile, Supplier
from parts.services.trade import answers

# Before any wet or hot finish. Common practice, no source.
BEFORE_IT_LEAVES = (
    "Before it leaves: fuel, oil and grease out; bearings, rubber and plastic off; closed sections vented "
    "and drained; masking as written. The finisher’s own rules and the local ones come first: a competent "
    "person decides."
)
# Fuel vapour in a vessel that is to be heated, cut or welded. Common practice, no source.
BEFORE_IT_IS_WORKED = (
    "Before it leaves: fuel, oil and grease out, and vessels that held fuel cleaned and aired by somebody "
    "competent before any heat. The maker’s own rules and the local ones come first."
)
# Galvanizers Association of Australia, design guide for hot dip galvanizing.
SEALED_HOLLOW = (
    "Explosion hazard: in the zinc bath, moisture in a sealed hollow section turns to steam and bursts it. "
    "Vent and drain every closed section, at opposite ends, before it goes."
)
CLOSED_SECTIONS = {"galvanise": SEALED_HOLLOW}
MOST_LABELS = 300  # of one line, a piece each: beyond it nobody sticks them

Address = Callable[[Operation], str]


@dataclass(frozen=True)
class NoteLine:
    """One ruled line: a piece or a bag of them, its drawing, its photo and its code."""

    operation: Operation
    drawing: StoredFile | None
    photo_name: str  # as `fo-image:NAME`; empty where there is no photo
    code_name: str
    care: str  # what the finisher should mind about the material
    overruled: tuple[Overrule, ...]  # rules of the trade that a manager lets it stand against


@dataclass(frozen=True)
class Note:
    """The head of the paper, its lines, and the bytes of the pictures by name."""

    name: str  # "Batch 7", or the part of a single goods out
    supplier: Supplier | None
    wanted: FinishingBatch | Operation  # process, colour and class for every piece
    sent_on: date | None
    planned_on: date | None
    words: str
    lines: tuple[NoteLine, ...]
    images: dict[str, bytes]
    cautions: tuple[str, ...]

    @property
    def pieces(self) -> int:
        return sum(line.operation.pieces for line in self.lines)

    @property
    def mass(self) -> str:
        """Mass of all, in words."""
        weighed = [line.operation for line in self.lines if line.operation.part.mass_kg is not None]
        if not weighed:
            return "not weighed"
        total = sum((row.part.mass_kg or Decimal(0)) * row.pieces for row in weighed)
        rest = self.pieces - sum(row.pieces for row in weighed)
        return f"{total:.2f} kg" + (f", and {rest} not weighed" if rest else "")

    @property
    def is_finish(self) -> bool:
        return self.wanted.process.kind == Process.Kind.FINISH


@dataclass(frozen=True)
class Label:
    """One label to cut out."""

    operation: Operation
    code_name: str
    count: str  # "bag of 10", "3 of 10"; empty for a part that is one piece


def batch_note(batch: FinishingBatch, address: Address) -> Note:
    lines = note_lines(Operation.objects.filter(batch=batch)).order_by("part__car__name", "part__name", "pk")
    return _note(
        f"Batch {batch.pk}", batch, list(lines), batch.sent_on, batch.planned_on, batch.note, address
    )


def single_note(operation: Operation, address: Address) -> Note:
    name = f"{operation.part.car}: {operation.part}"
    return _note(name, operation, [operation], operation.sent_on, None, operation.part.note, address)


def note_lines(operations: QuerySet[Operation]) -> QuerySet[Operation]:
    return operations.select_related(
        "part__car", "part__material", "process", "supplier", "batch", "sent_drawing"
    )


def labels(
    operations: Sequence[Operation], *, each: str, address: Address
) -> tuple[list[Label], dict[str, bytes]]:
    """Labels of these lines, one for the bag or one for the piece, and their codes by name."""
    images = {_code_name(row): qr_png(address(row)) for row in operations}
    found = []
    for row in operations:
        if row.pieces == 1:
            found.append(Label(row, _code_name(row), ""))
        elif each == "piece":
            found += [Label(row, _code_name(row), f"{n} of {row.pieces}") for n in range(1, row.pieces + 1)]
        else:
            found.append(Label(row, _code_name(row), f"bag of {row.pieces}"))
    return found, images


def too_many(operations: Iterable[Operation]) -> Operation | None:
    """The first line of which nobody would stick a label on each piece."""
    return next((row for row in operations if row.pieces > MOST_LABELS), None)


def _note(
    name: str,
    wanted: FinishingBatch | Operation,
    operations: Sequence[Operation],
    sent_on: date | None,
    planned_on: date | None,
    words: str,
    address: Address,
) -> Note:
    """Read drawings, photos, verdicts, overrules: four queries at most, and one file for each photo."""
    part_ids = [row.part_id for row in operations]
    drawings = _newest(StoredFile.objects.drawings().filter(part__in=part_ids))
    photos = _newest(StoredFile.objects.photos().filter(part__in=part_ids))
    images = {f"photo-{key}": content for key, photo in photos.items() if (content := _content(photo))}
    care = _care(wanted.process)
    overruled = _overruled(operations)
    lines = tuple(_line(row, drawings, images, care, overruled[row.pk]) for row in operations)
    images |= {line.code_name: qr_png(address(line.operation)) for line in lines}
    hazard = CLOSED_SECTIONS.get(wanted.process.key)
    usual = BEFORE_IT_LEAVES if wanted.process.kind == Process.Kind.FINISH else BEFORE_IT_IS_WORKED
    return Note(
        name=name,
        supplier=wanted.supplier,
        wanted=wanted,
        sent_on=sent_on,
        planned_on=planned_on,
        words=words,
        lines=lines,
        images=images,
        cautions=(hazard, usual) if hazard else (usual,),
    )


def _line(
    row: Operation,
    drawings: dict[int, StoredFile],
    images: dict[str, bytes],
    care: dict[int, str],
    overruled: Iterable[Overrule],
) -> NoteLine:
    # once it has gone, only the drawing that went with it counts
    drawing = row.sent_drawing if row.sent_on else drawings.get(row.part_id)
    photo = f"photo-{row.part_id}"
    return NoteLine(
        row,
        drawing,
        photo if photo in images else "",
        _code_name(row),
        care.get(row.part.material_id or 0, ""),
        tuple(overruled),
    )


def _code_name(row: Operation) -> str:
    return f"code-{row.part_id}"


def _care(process: Process) -> dict[int, str]:
    """What to mind, by material."""
    rows = MaterialVerdict.objects.filter(process=process, verdict=MaterialVerdict.Verdict.CARE)
    return dict(rows.values_list("material_id", "reason"))


def _overruled(operations: Iterable[Operation]) -> dict[int, list[Overrule]]:
    """What a manager answered for, by line."""
    lines = list(operations)
    reworks = {line.pk: line.reworks_id for line in lines if line.reworks_id is not None}
    wanted = {*(line.pk for line in lines), *reworks.values()}
    rows = Overrule.objects.filter(operation__in=wanted).select_related("by")
    found: dict[int, list[Overrule]] = defaultdict(list)
    for (line, _), row in answers(rows, reworks).items():
        found[line].append(row)
    return found


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

"""Photos and drawings: what a file is, is read from its content and never believed from its name."""

import struct
import warnings
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from io import BytesIO
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile, File
from django.db import transaction
from PIL import Image, ImageOps, UnidentifiedImageError

from parts.models import StoredFile

MAX_BYTES = 20 * 1024 * 1024
MAX_PIXELS = 50_000_000
SAME_PRESS = timedelta(minutes=2)
LONGEST_PX = 2400  # of a photo; a drawing keeps its size, or its fine lines would go

PDF = "application/pdf"
DXF = "image/vnd.dxf"
JPEG = "image/jpeg"
PNG = "image/png"
ENDINGS = {PDF: "pdf", DXF: "dxf", JPEG: "jpg", PNG: "png"}

# What the picture library raises on damaged or hostile files, depending on where they are damaged.
_BROKEN = (
    UnidentifiedImageError,
    Image.DecompressionBombError,
    OSError,
    SyntaxError,
    ValueError,
    EOFError,
    IndexError,
    KeyError,
    TypeError,
    struct.error,
    zlib.error,
)


@dataclass(frozen=True)
class _Checked:
    content: bytes
    content_type: str


def file_add(
    *,
    kind: str,
    upload: File,
    title: str,
    revision: str = "",
    car: Any = None,
    job: Any = None,
    part: Any = None,
    by: Any,
    at: datetime,
) -> StoredFile:
    """Store a photo (turned upright, shrunk, without the camera's notes) or a drawing.

    The same photo of the same thing within two minutes is a second press: the first one is given.
    Raises ValidationError, and stores nothing, when the content is not what the kind asks for, a drawing
    has no revision, or the same drawing is there in that revision already.
    """
    row = StoredFile(
        kind=kind,
        title=" ".join(title.split()),
        revision=revision.strip() if kind == StoredFile.Kind.DRAWING else "",
        car=car,
        job=job,
        part=part,
        added_by=by,
        added_at=at,
    )
    if kind not in StoredFile.Kind.values:
        raise ValidationError({"kind": "Say whether this is a photo or a drawing."})
    if kind == StoredFile.Kind.DRAWING:
        _check_revision(row)
    checked = _checked_content(kind, upload)
    row.content_type = checked.content_type
    return _keep(row, checked)


@transaction.atomic
def _keep(row: StoredFile, checked: _Checked) -> StoredFile:
    """Only here is the database held: a large picture takes a second or two to read."""
    owner: Any = row.car or row.job or row.part
    if owner is not None:
        type(owner).objects.select_for_update().get(pk=owner.pk)  # two presses at once take their turn here
    if row.kind == StoredFile.Kind.DRAWING:
        _check_revision(row)
    elif (again := _pressed_before(row, checked)) is not None:
        return again
    row.full_clean(exclude=["file"])
    row.file = ContentFile(checked.content, name=f"upload.{ENDINGS[checked.content_type]}")
    try:
        row.save()
    except Exception:
        row.file.delete(save=False)  # a row that was refused must not leave its file behind
        raise
    return row


def _pressed_before(row: StoredFile, checked: _Checked) -> StoredFile | None:
    just_now = StoredFile.objects.photos().filter(
        car=row.car,
        job=row.job,
        part=row.part,
        added_by=row.added_by,
        # after it as well: of two at once the later press may have been the first to be kept
        added_at__range=(row.added_at - SAME_PRESS, row.added_at + SAME_PRESS),
    )
    return next((other for other in just_now if _content(other) == checked.content), None)


def _content(row: StoredFile) -> bytes:
    try:
        with row.file.open("rb") as file:
            return bytes(file.read())
    except OSError:
        return b""


def _check_revision(row: StoredFile) -> None:
    if not row.revision:
        raise ValidationError({"revision": "A drawing needs its revision, for example A or 2."})
    same = StoredFile.objects.drawings().filter(
        car=row.car,
        job=row.job,
        part=row.part,
        title__iexact=row.title,
        revision__iexact=row.revision,
    )
    if same.exists():
        raise ValidationError(
            {
                "revision": f"“{row.title}” is here in revision {row.revision} already. "
                "Give the new drawing its own revision."
            }
        )


def _checked_content(kind: str, upload: File) -> _Checked:
    try:
        content = _read(upload)
        if kind == StoredFile.Kind.PHOTO:
            return _photo(content)
        return _drawing(content)
    except ValidationError as error:
        raise ValidationError({"upload": error.messages}) from error


def _read(upload: File) -> bytes:
    size = upload.size or 0
    if size > MAX_BYTES:
        megabytes = size // 1024**2
        raise ValidationError(f"The file is {megabytes} MB; the most taken is 20 MB. Send a smaller one.")
    upload.seek(0)
    # one byte more than allowed: the size that a sender claims is only a claim
    content = upload.read(MAX_BYTES + 1)
    if not content:
        raise ValidationError("The file is empty. Choose another one.")
    if len(content) > MAX_BYTES:
        raise ValidationError("The file is over 20 MB. Send a smaller one.")
    return bytes(content)


def _photo(content: bytes) -> _Checked:
    def shrink(image: Image.Image) -> Image.Image:
        image.draft("RGB", (LONGEST_PX, LONGEST_PX))  # a JPEG is then read at a fraction of its size
        image = ImageOps.exif_transpose(image)
        image.thumbnail((LONGEST_PX, LONGEST_PX))
        return _on_white(image)

    image = _picture(content, ("JPEG", "PNG", "WEBP"), shrink, "a JPEG, PNG or WebP picture")
    return _encoded(image, "JPEG")


def _drawing(content: bytes) -> _Checked:
    if content.startswith(b"%PDF-"):
        if b"%%EOF" not in content[-2048:]:
            raise ValidationError("This PDF breaks off before its end. Save it again and send that.")
        return _Checked(content, PDF)
    if _is_text_dxf(content):
        return _Checked(content, DXF)
    words = "a PDF, a DXF saved as text, a PNG or a JPEG"
    image = _picture(content, ("JPEG", "PNG"), ImageOps.exif_transpose, words)
    return _encoded(_on_white(image), "PNG" if content.startswith(b"\x89PNG") else "JPEG")


def _picture(
    content: bytes, formats: tuple[str, ...], change: Callable[[Image.Image], Image.Image], words: str
) -> Image.Image:
    """The picture, read whole and changed. Raises ValidationError if it is none, broken or too large."""
    try:
        with warnings.catch_warnings():
            # our own limit below is the lower one and says so in words
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(BytesIO(content), formats=formats) as image:
                _check_pixels(image)
                image.verify()  # leaves the picture unusable, so it is opened again
            with Image.open(BytesIO(content), formats=formats) as image:
                return change(image).copy()
    except ValidationError:
        raise
    except Image.DecompressionBombError as error:
        raise ValidationError(_too_many_pixels()) from error
    except _BROKEN as error:
        raise ValidationError(f"This is not {words}, or it is damaged. Choose another file.") from error


def _check_pixels(image: Image.Image) -> None:
    if image.width * image.height > MAX_PIXELS:
        raise ValidationError(_too_many_pixels(image.width, image.height))


def _too_many_pixels(*size: int) -> str:
    came = f" is {size[0]} × {size[1]} pixels;" if size else " has far too many pixels;"
    return (
        f"The picture{came} the most that is taken is {MAX_PIXELS // 1_000_000} million. Send a smaller one."
    )


def _on_white(image: Image.Image) -> Image.Image:
    """As plain grey or colour, with what is see-through laid on white, and nothing else carried along."""
    if image.mode in ("1", "L"):
        plain = image.convert("L")
    elif image.mode.startswith("I"):  # 16 bits a pixel, from scanners
        plain = image.convert("I").point(lambda value: value / 256).convert("L")
    elif image.has_transparency_data:
        layer = image.convert("RGBA")
        plain = Image.new("RGB", layer.size, "white")
        plain.paste(layer, mask=layer.getchannel("A"))
    else:
        plain = image.convert("RGB")
    plain.info = {}  # comments, place and camera would otherwise be written out again
    return plain


def _encoded(image: Image.Image, picture_format: str) -> _Checked:
    buffer = BytesIO()
    if picture_format == "PNG":
        image.save(buffer, "PNG", optimize=True)
        return _Checked(buffer.getvalue(), PNG)
    image.save(buffer, "JPEG", quality=85, optimize=True, progressive=True)
    return _Checked(buffer.getvalue(), JPEG)


def _is_text_dxf(content: bytes) -> bool:
    """Whether it begins as a text DXF does: pairs of lines, comments (999) first, then `0` and `SECTION`."""
    if b"\0" in content[:4096]:
        return False
    lines = content.removeprefix(b"\xef\xbb\xbf")[:65536].splitlines()
    for code, value in zip(lines[::2], lines[1::2], strict=False):
        if code.strip() == b"999":
            continue
        ends = content[-64:].split()[-1:] == [b"EOF"]
        return code.strip() == b"0" and value.strip() == b"SECTION" and ends
    return False

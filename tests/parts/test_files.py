"""Photos and drawings are taken by what they are, not by what they are called."""

from __future__ import annotations

import struct
import zlib
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from parts.models import StoredFile
from parts.services.files import file_add

DXF_TEXT = b"999\nmade by hand\n  0\nSECTION\n  2\nHEADER\n  0\nENDSEC\n  0\nEOF\n"
PDF_BYTES = b"%PDF-1.4\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"


def picture(size: tuple[int, int] = (60, 40), kind: str = "JPEG", mode: str = "RGB", **options: Any) -> bytes:
    buffer = BytesIO()
    Image.new(mode, size, 128 if mode in ("L", "I", "I;16") else None).save(buffer, kind, **options)
    return buffer.getvalue()


def upload(content: bytes, name: str = "IMG_0001.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


@pytest.fixture
def add(tern: Any, make_part: Any, manager: Any) -> Any:
    part = make_part(tern, "coolant tank")

    def run(content: bytes, *, kind: str = "photo", title: str = "tank", **fields: Any) -> StoredFile:
        where = fields if {"car", "job"} & set(fields) else {"part": part, **fields}
        return file_add(
            kind=kind, upload=upload(content), title=title, by=manager, at=timezone.now(), **where
        )

    return run


def stored(settings: Any) -> list[Path]:
    return [path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()]


def refused(add: Any, settings: Any, content: bytes, **fields: Any) -> str:
    with pytest.raises(ValidationError) as refusal:
        add(content, **fields)
    assert not StoredFile.objects.exists()
    assert stored(settings) == []
    return " ".join(refusal.value.messages)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_kept_as_jpeg_under_a_name_of_our_own(add: Any, kind: str) -> None:
    row = add(picture(kind=kind))
    assert row.content_type == "image/jpeg"
    assert row.file.name.startswith("photo/")
    assert row.file.name.endswith(".jpg")
    assert "IMG_0001" not in row.file.name
    with Image.open(row.file) as image:
        assert (image.format, image.size) == ("JPEG", (60, 40))


def test_a_photo_is_turned_upright_and_loses_the_place_where_it_was_taken(add: Any) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # Orientation: turned a quarter (Exif 2.32, table 4)
    exif[0x010E] = "in the yard"  # ImageDescription
    exif.get_ifd(0x8825)[1] = "N"  # GPSLatitudeRef
    row = add(picture(exif=exif, comment=b"taken at home"))
    with Image.open(row.file) as image:
        assert image.size == (40, 60)
        assert dict(image.getexif()) == {}
        assert "comment" not in image.info
    row.file.seek(0)
    assert b"yard" not in row.file.read()


def test_a_large_photo_is_shrunk_to_2400_pixels(add: Any) -> None:
    with Image.open(add(picture((5000, 2500))).file) as image:
        assert image.size == (2400, 1200)


def test_what_is_see_through_is_laid_on_white(add: Any) -> None:
    with Image.open(add(picture(kind="PNG", mode="RGBA")).file) as image:
        assert image.getpixel((5, 5)) == (255, 255, 255)


@pytest.mark.parametrize("mode", ["1", "L", "P", "LA", "I;16", "CMYK"])
def test_unusual_pictures_are_taken_too(add: Any, mode: str) -> None:
    content = picture(kind="JPEG" if mode == "CMYK" else "PNG", mode=mode)
    assert add(content).content_type == "image/jpeg"
    assert add(content, kind="drawing", revision="A").revision == "A"


@pytest.mark.parametrize(
    ("content", "content_type", "ending"),
    [
        (PDF_BYTES, "application/pdf", ".pdf"),
        (DXF_TEXT, "image/vnd.dxf", ".dxf"),
        (DXF_TEXT.replace(b"\n", b"\r\n"), "image/vnd.dxf", ".dxf"),
        (picture(kind="PNG"), "image/png", ".png"),
        (picture(), "image/jpeg", ".jpg"),
    ],
)
def test_drawings_are_pdf_dxf_png_or_jpeg(add: Any, content: bytes, content_type: str, ending: str) -> None:
    row = add(content, kind="drawing", revision="B")
    assert (row.content_type, row.revision) == (content_type, "B")
    assert row.file.name.startswith("drawing/")
    assert row.file.name.endswith(ending)


def test_a_drawing_keeps_its_size(add: Any) -> None:
    with Image.open(add(picture((3000, 1000), "PNG"), kind="drawing", revision="A").file) as image:
        assert image.size == (3000, 1000)


def test_a_file_on_a_car_and_on_a_job(add: Any, tern: Any, make_job: Any) -> None:
    job = make_job(tern, "Trial fit radiator")
    assert add(picture(), car=tern).car == tern
    assert add(picture(), job=job).job == job


@pytest.mark.parametrize(
    "content",
    [
        b"<html><script>alert(1)</script></html>",
        b"GIF89a" + bytes(200),
        picture()[:200],
        picture(kind="PNG")[:-30],
        bytes(1000),
        PDF_BYTES,
        b'<svg xmlns="http://www.w3.org/2000/svg"/>',
    ],
    ids=["html", "gif", "broken jpeg", "broken png", "zeros", "pdf", "svg"],
)
def test_a_photo_that_is_not_one_is_refused(add: Any, settings: Any, content: bytes) -> None:
    assert "not a JPEG, PNG or WebP picture" in refused(add, settings, content)


def test_an_empty_file_is_refused(add: Any, settings: Any) -> None:
    assert refused(add, settings, b"") == "The file is empty. Choose another one."


def test_a_file_of_more_than_20_mb_is_refused(add: Any, settings: Any) -> None:
    assert "20 MB" in refused(add, settings, picture() + bytes(21 * 1024 * 1024))


def huge_png(width: int, height: int) -> bytes:
    """A PNG of a few hundred bytes that claims to be huge (chunks as in the PNG specification, ISO 15948)."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(bytes(99)))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(("width", "height"), [(10_000, 6_000), (12_000, 10_000), (100_000, 100_000)])
def test_a_picture_of_too_many_pixels_is_refused_unread(
    add: Any, settings: Any, width: int, height: int
) -> None:
    assert "50 million" in refused(add, settings, huge_png(width, height))


@pytest.mark.parametrize(
    "content",
    [
        b"PK\x03\x04 a zip",
        b"0\nSECTION\n no end",
        b"  0\nTEXT\n0\nEOF\n",
        b"<!doctype html>%PDF-1.4",
        DXF_TEXT.replace(b"2\n", b"2\0"),
        picture(kind="WEBP"),
    ],
)
def test_a_drawing_of_another_kind_is_refused(add: Any, settings: Any, content: bytes) -> None:
    assert "not a PDF, a DXF" in refused(add, settings, content, kind="drawing", revision="A")


def test_a_pdf_that_breaks_off_is_refused(add: Any, settings: Any) -> None:
    assert "breaks off" in refused(add, settings, PDF_BYTES[:30], kind="drawing", revision="A")


def test_a_drawing_needs_a_revision(add: Any, settings: Any) -> None:
    assert "needs its revision" in refused(add, settings, PDF_BYTES, kind="drawing", revision="  ")


def test_a_file_needs_a_title_and_a_known_kind(add: Any, settings: Any) -> None:
    refused(add, settings, picture(), title="   ")
    refused(add, settings, picture(), title="x" * 121)
    refused(add, settings, picture(), kind="film")


def test_a_file_belongs_to_exactly_one_thing(add: Any, settings: Any, tern: Any, make_job: Any) -> None:
    refused(add, settings, picture(), car=tern, job=make_job(tern, "Trial fit"))


def test_the_same_revision_twice_is_refused(add: Any, settings: Any) -> None:
    add(PDF_BYTES, kind="drawing", revision="B")
    with pytest.raises(ValidationError, match="in revision b already"):
        add(DXF_TEXT, kind="drawing", revision="b")
    assert StoredFile.objects.count() == 1
    assert len(stored(settings)) == 1


def test_a_photo_sent_twice_is_kept_once_and_another_picture_is_kept_too(add: Any, settings: Any) -> None:
    first, second = add(picture()), add(picture())
    other = add(picture((61, 40)))
    assert first == second != other
    assert StoredFile.objects.count() == len(stored(settings)) == 2


def test_the_same_photo_of_another_thing_is_kept(add: Any, tern: Any, make_job: Any) -> None:
    assert add(picture()) != add(picture(), job=make_job(tern, "Fit tank"))


def test_a_photo_sent_again_later_is_kept_again(add: Any) -> None:
    first = add(picture())
    StoredFile.objects.update(added_at=first.added_at - timedelta(minutes=3))
    assert add(picture()) != first

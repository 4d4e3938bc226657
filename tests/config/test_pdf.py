"""A printed page shows what it was given and can reach nothing else."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as the_settings
from django.utils.module_loading import import_string
from PIL import Image
from pypdf import PdfReader

from config import pdf
from config.pdf import PdfRefused, PdfUnavailable, render_pdf
from config.pdf_libraries import INSTALL_COMMAND, missing_libraries

needs_libraries = pytest.mark.skipif(
    bool(missing_libraries()), reason=f"PDF needs system libraries: {INSTALL_COMMAND}"
)

SHEET = """{% extends "print/base.html" %}
{% block sheet_name %}Tern · job list{% endblock %}
{% block title_block %}<div><span class="cap">Car</span><b>Tern</b></div>{% endblock %}
{% block footer %}Saltmarsh Motor Works{% endblock %}
{% block content %}
<p>{{ note }}</p><img src="fo-image:bay 2.jpg" alt="Bay 2"><div class="new-page">end</div>
{% endblock %}
"""


@pytest.fixture
def sheet(settings: Any, tmp_path: Path) -> Callable[[str], str]:
    """sheet(source): the name of a template with that source."""
    settings.TEMPLATES = [{**settings.TEMPLATES[0], "DIRS": [tmp_path, *settings.TEMPLATES[0]["DIRS"]]}]

    def write(source: str) -> str:
        (tmp_path / "sheet.html").write_text(source)
        return "sheet.html"

    return write


def _photo() -> bytes:
    file = io.BytesIO()
    Image.linear_gradient("L").save(file, "JPEG")
    return file.getvalue()


@needs_libraries
def test_a_sheet_has_its_title_photo_footer_and_page_numbers(sheet: Callable[[str], str]) -> None:
    made = render_pdf(sheet(SHEET), {"note": "<b>braid & lacing"}, images={"bay 2.jpg": _photo()})
    reader = PdfReader(io.BytesIO(made))
    first, second = (page.extract_text() for page in reader.pages)
    assert reader.metadata is not None
    assert reader.metadata.title == "Tern · job list"
    assert "<b>braid & lacing" in first
    assert "Saltmarsh Motor Works" in first
    assert "page 1 of 2" in first
    assert "Tern · job list" not in first  # the title block says it there
    assert "Tern · job list" in second
    assert "page 2 of 2" in second
    assert len(reader.pages[0].images) == 1


@needs_libraries
def test_the_type_is_ours(sheet: Callable[[str], str]) -> None:
    made = render_pdf(sheet(SHEET), {"note": "x"}, images={"bay 2.jpg": _photo()})
    fonts = set(re.findall(rb"/BaseFont /[A-Z]{6}\+([A-Za-z-]+)", _uncompressed(made)))
    assert {font.split(b"-")[0] for font in fonts} == {b"Atkinson", b"Barlow"}


@needs_libraries
def test_the_same_sheet_gives_the_same_bytes(sheet: Callable[[str], str]) -> None:
    name, images = sheet(SHEET), {"bay 2.jpg": _photo()}
    assert render_pdf(name, {"note": "x"}, images=images) == render_pdf(name, {"note": "x"}, images=images)


@needs_libraries
@pytest.mark.parametrize(
    "address",
    [
        "http://127.0.0.1:1/x.png",
        "https://127.0.0.1:1/x.png",
        "HTTP://127.0.0.1:1/x.png",
        "ftp://127.0.0.1:1/x.png",
        "file:///etc/hostname",
        "FILE:///etc/hostname",
        "/etc/hostname",
        "../../etc/hostname",
        "//127.0.0.1:1/x.png",
        "manage.py",
        "fo-image:nobody.jpg",
        "fo-font:../secret_key",
        "fo-font:%2e%2e/secret_key",
        "fo-style:../settings.py",
        "fo-style:sheet.css",
        "fo-style:print-nothing.css",
        "javascript:1",
    ],
)
@pytest.mark.parametrize(
    "asking",
    [
        '<img src="{}">',
        '<link rel="stylesheet" href="{}">',
        '<style>@import "{}";</style>',
        '<style>@font-face {{ font-family: x; src: url("{}") }} p {{ font-family: x }}</style>',
        '<style>p {{ background: url("{}") }}</style>',
        '<object data="{}"></object>',
        '<link rel="attachment" href="{}">',
        '<svg xmlns="http://www.w3.org/2000/svg"><image href="{}" width="9" height="9"/></svg>',
    ],
    ids=["img", "link", "import", "font-face", "background", "object", "attachment", "svg"],
)
def test_every_other_address_is_refused_by_name(
    sheet: Callable[[str], str], asking: str, address: str
) -> None:
    with pytest.raises(PdfRefused, match=re.escape(f"“{address}”")):
        render_pdf(sheet(f"<p>text</p>{asking.format(address)}"), {})


@needs_libraries
def test_a_picture_that_is_a_drawing_cannot_reach_out_either(sheet: Callable[[str], str]) -> None:
    inside = b'<image href="file:///etc/hostname" width="9" height="9"/>'
    drawing = b'<svg xmlns="http://www.w3.org/2000/svg">' + inside + b"</svg>"
    with pytest.raises(PdfRefused, match="file:///etc/hostname"):
        render_pdf(sheet('<img src="fo-image:plot.svg">'), {}, images={"plot.svg": drawing})


def test_without_the_libraries_it_names_the_command(
    sheet: Callable[[str], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pdf, "missing_libraries", lambda: ["libpango-1.0.so.0"])
    with pytest.raises(PdfUnavailable, match=re.escape(INSTALL_COMMAND)):
        render_pdf(sheet(SHEET), {})


def test_the_apps_find_the_renderer_by_its_setting() -> None:
    assert import_string(the_settings.PDF_RENDERER) is render_pdf


def test_the_print_stylesheet_asks_for_the_fonts_that_come_along() -> None:
    css = (Path(pdf.__file__).parent / "static" / "print.css").read_text()
    assert set(re.findall(r"fo-font:([\w.-]+)", css)) == set(pdf.FONT_FILES)


def _uncompressed(made: bytes) -> bytes:
    reader = PdfReader(io.BytesIO(made))
    names = []
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            names.append(b"/BaseFont " + str(font.get_object()["/BaseFont"]).encode())
    return b"\n".join(names)

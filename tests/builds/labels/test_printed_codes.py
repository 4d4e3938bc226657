"""Codes on goods-out notes and label sheets, read back from the printed page by a decoder that is not ours.

Decoder: zxing-cpp (the C++ port of ZXing), on the PDF drawn at 200 dots to the inch by Poppler.
"""

from __future__ import annotations

import shutil
import subprocess
from collections import Counter
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from django.test import Client
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from config.pdf_libraries import missing_libraries
from parts.models import FinishingBatch

pytestmark = [
    pytest.mark.skipif(bool(missing_libraries()), reason="the system libraries that draw PDF are missing"),
    pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm (poppler-utils) is not installed"),
]
MM_PER_INCH, DPI = 25.4, 200


@pytest.fixture
def clips(tern: Any, make_part: Any, plater: Any) -> Any:
    return make_part(
        tern, "Radiator clip", quantity=10, drawing_number="T-7", route=[("zinc_plate", plater, 5)]
    )


@pytest.fixture
def bolts(skua: Any, make_part: Any, plater: Any) -> Any:
    return make_part(skua, "Engine mount bolt", quantity=4, route=[("zinc_plate", plater, 5)])


@pytest.fixture
def batch(clips: Any, bolts: Any, plater: Any, process: Any) -> Any:
    made = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    for part in (clips, bolts):
        part.operations.update(batch=made)
    return made


def pages(pdf: bytes, folder: Path) -> list[Image.Image]:
    (folder / "page.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(DPI), "-png", "page.pdf", "page"], cwd=folder, check=True)
    return [Image.open(path) for path in sorted(folder.glob("page*.png"))]


def codes(pdf: bytes, folder: Path) -> list[str]:
    return [found.text for page in pages(pdf, folder) for found in zxingcpp.read_barcodes(page)]


def address(part: Any, workshop: Any) -> str:
    return f"http://testserver/label/{workshop.code}/{part.code}/"


def printed(client: Client, url: str) -> bytes:
    answer = client.get(url)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    return bytes(answer.content)


def test_each_line_of_the_note_carries_the_code_of_its_part(
    batch: Any, clips: Any, bolts: Any, workshop: Any, as_fitter: Client, tmp_path: Path
) -> None:
    pdf = printed(as_fitter, reverse("batch-note", args=[batch.pk]))
    assert sorted(codes(pdf, tmp_path)) == sorted(address(part, workshop) for part in (clips, bolts))
    words = PdfReader(BytesIO(pdf)).pages[0].extract_text()
    assert clips.code in words, "the letters help where the code is dirty"


def test_a_bag_gets_one_label_and_says_how_many_are_in_it(
    batch: Any, clips: Any, bolts: Any, workshop: Any, as_fitter: Client, tmp_path: Path
) -> None:
    pdf = printed(as_fitter, reverse("batch-labels", args=[batch.pk]))
    assert sorted(codes(pdf, tmp_path)) == sorted(address(part, workshop) for part in (clips, bolts))
    words = " ".join(PdfReader(BytesIO(pdf)).pages[0].extract_text().split())
    for expected in ("Radiator clip", "Tern · bag of 10", "Skua · bag of 4", "Zinc plate", "Ferrand Plating"):
        assert expected in words
    assert clips.code in words


def test_each_piece_gets_its_own_label_on_as_many_sheets_as_it_needs(
    batch: Any, clips: Any, bolts: Any, workshop: Any, as_fitter: Client, tmp_path: Path
) -> None:
    pdf = printed(as_fitter, reverse("batch-labels", args=[batch.pk]) + "?each=piece")
    assert Counter(codes(pdf, tmp_path)) == {address(clips, workshop): 10, address(bolts, workshop): 4}
    words = " ".join(PdfReader(BytesIO(pdf)).pages[0].extract_text().split())
    assert all(f"{number} of 10" in words for number in range(1, 11))
    assert len(PdfReader(BytesIO(pdf)).pages) == 1, "fourteen labels fill one sheet"


def test_one_part_that_goes_out_alone_has_note_and_label(
    clips: Any, workshop: Any, as_fitter: Client, tmp_path: Path
) -> None:
    line = clips.operations.get()
    for name in ("operation-note", "operation-labels"):
        folder = tmp_path / name
        folder.mkdir()
        pdf = printed(as_fitter, reverse(name, args=[line.pk]))
        assert codes(pdf, folder) == [address(clips, workshop)]
        assert len(PdfReader(BytesIO(pdf)).pages) == 1


def test_the_code_opens_from_where_the_tablets_are(
    clips: Any, workshop: Any, as_fitter: Client, tmp_path: Path, settings: Any
) -> None:
    settings.TABLET_ADDRESS = "http://192.168.1.20:8000"
    answer = as_fitter.get(
        reverse("operation-labels", args=[clips.operations.get().pk]), headers={"host": "127.0.0.1:8000"}
    )
    assert codes(answer.content, tmp_path) == [
        f"http://192.168.1.20:8000/label/{workshop.code}/{clips.code}/"
    ]


def test_a_code_on_a_label_can_be_read_at_arm_s_length(clips: Any, as_fitter: Client, tmp_path: Path) -> None:
    """ISO/IEC 18004 leaves the module to the application; 0.5 mm and more reads at arm's length (common
    practice, no source).
    """
    pdf = printed(as_fitter, reverse("operation-labels", args=[clips.operations.get().pk]))
    (page,) = pages(pdf, tmp_path)
    (found,) = zxingcpp.read_barcodes(page)
    corners = found.position
    side_mm = (corners.top_right.x - corners.top_left.x) / DPI * MM_PER_INCH
    assert side_mm > 25
    assert side_mm / 41 > 0.5, "41 modules: version 6, more than such an address needs"


def test_nobody_sticks_thousands_of_labels(clips: Any, as_fitter: Client) -> None:
    clips.quantity = 5000
    clips.save()
    url = reverse("operation-labels", args=[clips.operations.get().pk])
    answer = as_fitter.get(f"{url}?each=piece", follow=True)
    assert "5,000 off: nobody sticks so many labels" in answer.content.decode()
    assert as_fitter.get(url)["Content-Type"] == "application/pdf"


def test_what_is_done_here_has_no_note(tern: Any, make_part: Any, as_fitter: Client) -> None:
    line = make_part(tern, "plate", route=[("machine", None, 1)]).operations.get()
    answer = as_fitter.get(reverse("operation-note", args=[line.pk]), follow=True)
    assert "done in our own workshop: no note goes with it" in answer.content.decode()


@pytest.mark.parametrize("count", [1, 6, 7, 8, 9, 10, 11, 12])
def test_signatures_never_stand_alone_on_a_page(
    count: int, tern: Any, make_part: Any, plater: Any, process: Any, as_fitter: Client
) -> None:
    made = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    for number in range(count):
        part = make_part(tern, f"clip {number:02}", route=[("zinc_plate", plater, 5)])
        part.operations.update(batch=made)
    pdf = printed(as_fitter, reverse("batch-note", args=[made.pk]))
    last = " ".join(PdfReader(BytesIO(pdf)).pages[-1].extract_text().split())
    assert "Counted in again" in last
    assert "In all" in last
    assert "Caution" in last or "CAUTION" in last
    assert f"clip {count - 1:02}" in last

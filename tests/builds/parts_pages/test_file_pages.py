"""Files come in through a page and go out as what they are."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from parts.models import StoredFile

DXF_TEXT = b"0\nSECTION\n2\nHEADER\n0\nENDSEC\n0\nEOF\n"


def add(client: Client, part: Any, upload: Any, **data: Any) -> Any:
    return client.post(
        reverse("file-add"), {"kind": "photo", "part": part.pk, "upload": upload, "title": "tank", **data}
    )


def test_a_fitter_adds_a_photo(tank: Any, picture: Any, as_fitter: Client, fitter: Any) -> None:
    answer = add(as_fitter, tank, picture())
    stored = StoredFile.objects.get()
    assert (answer.status_code, answer.url) == (302, tank.get_absolute_url())
    assert (stored.part, stored.added_by, stored.kind) == (tank, fitter, "photo")
    shown = as_fitter.get(reverse("file", args=[stored.pk]))
    assert shown["Content-Type"] == "image/jpeg"
    assert shown["X-Content-Type-Options"] == "nosniff"
    assert shown["Content-Disposition"] == 'inline; filename="tank.jpg"'
    assert shown["Cache-Control"].startswith("private")
    assert b"".join(shown.streaming_content)[:3] == b"\xff\xd8\xff"


def test_a_photo_of_a_car_goes_back_to_the_page_it_came_from(
    tern: Any, picture: Any, as_fitter: Client
) -> None:
    data = {"kind": "photo", "car": tern.pk, "upload": picture(), "next": "/waiting/"}
    answer = as_fitter.post(reverse("file-add"), data)
    assert answer.url == "/waiting/"
    assert StoredFile.objects.get().title == "Tern"


def test_a_drawing_is_shown_in_place_and_a_dxf_is_saved(tank: Any, drawing: Any, as_manager: Client) -> None:
    add(as_manager, tank, drawing(), kind="drawing", revision="B")
    add(as_manager, tank, SimpleUploadedFile("d.dxf", DXF_TEXT), kind="drawing", revision="C")
    pdf, dxf = StoredFile.objects.order_by("pk")
    shown = as_manager.get(reverse("file", args=[pdf.pk]))
    assert shown["Content-Type"] == "application/pdf"
    assert shown["Content-Disposition"] == 'inline; filename="tank-rev-b.pdf"'
    saved = as_manager.get(reverse("file", args=[dxf.pk]))
    assert saved["Content-Type"] == "image/vnd.dxf"
    assert saved["Content-Disposition"] == 'attachment; filename="tank-rev-c.dxf"'


def test_drawings_are_for_managers_to_add(tank: Any, drawing: Any, as_fitter: Client) -> None:
    assert add(as_fitter, tank, drawing(), kind="drawing", revision="B").status_code == 403
    assert not StoredFile.objects.exists()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"upload": SimpleUploadedFile("x.jpg", b"not a picture at all")}, "not a JPEG, PNG or WebP"),
        ({"upload": SimpleUploadedFile("x.jpg", b"")}, "The submitted file is empty"),
        ({"upload": ""}, "This field is required"),
        ({"kind": "film"}, "is not one of the available choices"),
        ({"part": "999"}, "Select a valid choice"),
        ({"part": ""}, "one car, one job or one part"),
        ({"title": "x" * 121}, "at most 120"),
    ],
)
def test_a_wrong_file_is_refused_in_words_and_stores_nothing(
    tank: Any, picture: Any, as_manager: Client, settings: Any, data: Any, words: str
) -> None:
    answer = as_manager.post(
        reverse("file-add"), {"kind": "photo", "part": tank.pk, "upload": picture(), "title": "x", **data}
    )
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert not StoredFile.objects.exists()
    assert not [path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()]


def test_a_file_on_two_things_is_refused(tank: Any, tern: Any, picture: Any, as_manager: Client) -> None:
    assert "one car, one job or one part" in add(as_manager, tank, picture(), car=tern.pk).content.decode()
    assert not StoredFile.objects.exists()


def test_the_same_revision_twice_is_refused(tank: Any, drawing: Any, as_manager: Client) -> None:
    add(as_manager, tank, drawing(), kind="drawing", revision="B")
    answer = add(as_manager, tank, drawing(), kind="drawing", revision="B")
    assert "in revision B already" in answer.content.decode()
    assert StoredFile.objects.count() == 1


def test_a_file_lost_from_the_disk_is_404(tank: Any, picture: Any, as_fitter: Client) -> None:
    add(as_fitter, tank, picture())
    stored = StoredFile.objects.get()
    Path(stored.file.path).unlink()
    assert as_fitter.get(reverse("file", args=[stored.pk])).status_code == 404


def test_files_are_for_those_who_are_signed_in(tank: Any, picture: Any, as_fitter: Client) -> None:
    add(as_fitter, tank, picture())
    url = reverse("file", args=[StoredFile.objects.get().pk])
    answer = Client().get(url)
    assert answer.status_code == 302
    assert "sign-in" in answer.url
    assert Client().post(reverse("file-add"), {}).status_code == 302

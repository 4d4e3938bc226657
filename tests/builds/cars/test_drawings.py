"""Drawings on cars and jobs, with their revision."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from parts.models import StoredFile

PDF = b"%PDF-1.4\n1 0 obj<<>>endobj\ntrailer<<>>\n%%EOF\n"


def _upload(client, owner, thing, *, content=PDF, revision="B"):
    return client.post(
        "/files/add/",
        {
            "kind": "drawing",
            owner: thing.pk,
            "title": "Bay layout",
            "revision": revision,
            "upload": SimpleUploadedFile("layout.pdf", content),
            "next": thing.get_absolute_url(),
        },
        follow=True,
    )


@pytest.mark.parametrize("owner", ["car", "job"])
def test_a_drawing_is_shown_with_its_revision(owner, as_manager, tern, make_job):
    thing = tern if owner == "car" else make_job(tern, "lay out the bay")

    page = _upload(as_manager, owner, thing).content.decode()

    drawing = StoredFile.objects.get()
    assert f'<a href="/files/{drawing.pk}/">Bay layout</a></th><td>B</td>' in page


@pytest.mark.parametrize("owner", ["car", "job"])
def test_what_is_no_drawing_is_refused_and_nothing_is_kept(owner, as_manager, tern, make_job):
    thing = tern if owner == "car" else make_job(tern, "lay out the bay")

    _upload(as_manager, owner, thing, content=b"not a drawing at all")
    _upload(as_manager, owner, thing, revision="")

    assert StoredFile.objects.count() == 0

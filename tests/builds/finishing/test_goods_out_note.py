"""The note that goes with a batch: what, how many, how finished; no customer and no prices."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.template.loader import render_to_string
from django.test import Client
from django.utils import timezone
from PIL import Image
from pypdf import PdfReader

from builds.models import Customer
from config.pdf_libraries import missing_libraries
from parts.models import FinishingBatch, Material, Operation, StoredFile
from parts.services.batches import batch_send

Printed = Callable[[Any], tuple[str, dict[str, bytes]]]


@pytest.fixture
def printed(monkeypatch: pytest.MonkeyPatch, as_manager: Client) -> Printed:
    """printed(batch): the words and the pictures that would be drawn."""
    drawn: dict[str, Any] = {}

    def draw(template: str, context: dict[str, object], *, images: dict[str, bytes]) -> bytes:
        drawn.update(html=" ".join(render_to_string(template, context).split()), images=images)
        return b"%PDF"

    monkeypatch.setattr("config.pdf.render_pdf", draw)

    def fetch(batch: Any) -> tuple[str, dict[str, bytes]]:
        response = as_manager.get(f"/finishing/batches/{batch.pk}/note.pdf")
        assert response.status_code == 200
        assert response["Content-Type"] == "application/pdf"
        return drawn["html"], drawn["images"]

    return fetch


def add_file(part: Any, by: Any, kind: str = "drawing", **fields: Any) -> StoredFile:
    content = BytesIO()
    Image.new("RGB", (40, 30), fields.pop("colour", "grey")).save(content, "JPEG")
    file = StoredFile(
        kind=kind,
        title=part.name,
        content_type="image/jpeg",
        part=part,
        added_by=by,
        added_at=timezone.now(),
        **fields,
    )
    file.file.save("x.jpg", ContentFile(content.getvalue()))
    return file


def test_a_line_says_what_it_is_how_many_and_how_finished(
    clip: Any, make_batch: Any, printed: Any, open_plater: Any
) -> None:
    open_plater.address = "9 Tidemill Lane"
    open_plater.save()
    line = clip(
        "hinge bolts",
        quantity=16,
        mass_kg=Decimal("0.250"),
        material=Material.objects.get(key="steel_mild"),
        drawing_number="TN-114",
        colour="Clear",
        coating_class="Fe/Zn 8",
        masking="threads",
        specification="bake after",
    )

    html, _ = printed(make_batch(line))

    for words in (
        "Saltmarsh Motor Works",
        "Ferrand Plating",
        "9 Tidemill Lane",
        "Zinc plate, Clear, ",
        ">Fe/Zn 8<",
        "hinge bolts",
        "Tern · Mild steel",
        "TN-114",
        "<b>16</b>",
        "0.250 kg",
        "4.00 kg",  # 16 × 0.25
        "threads",
        "bake after",
        "Counted out",
        "Counted in",
        "Signature",
    ):
        assert words in html


def test_no_customer_and_no_prices(
    clip: Any, make_batch: Any, printed: Any, tern: Any, open_plater: Any
) -> None:
    tern.customer = Customer.objects.create(name="Cedric Vane-Abbot")
    tern.save()
    open_plater.minimum_lot_charge = Decimal("77.77")
    open_plater.save()

    html, _ = printed(make_batch(clip(cost=Decimal("88.88"))))

    assert not any(words in html for words in ("Cedric", "77.77", "88.88", "£"))


def test_the_newest_photo_of_each_part_is_on_it(
    clip: Any, make_batch: Any, printed: Any, manager: Any
) -> None:
    line = clip()
    add_file(line.part, manager, "photo", colour="red")
    newest = add_file(line.part, manager, "photo", colour="blue")

    html, images = printed(make_batch(line, clip("bare")))

    name = f"photo-{line.part_id}"
    assert images[name] == newest.file.open().read()
    assert [key for key in images if key.startswith("photo")] == [name]
    assert f"fo-image:{name}" in html
    assert "no photo" in html


def test_a_photo_that_has_gone_from_the_disk_leaves_its_place_empty(
    clip: Any, make_batch: Any, printed: Any, manager: Any
) -> None:
    line = clip()
    photo = add_file(line.part, manager, "photo")
    photo.file.storage.delete(photo.file.name)

    html, images = printed(make_batch(line))

    assert list(images) == [f"code-{line.part_id}"]
    assert "no photo" in html


def test_before_it_goes_the_newest_drawing_stands_on_it_and_then_the_one_that_went(
    clip: Any, make_batch: Any, printed: Any, manager: Any, today: date
) -> None:
    line = clip()
    batch = make_batch(line)
    add_file(line.part, manager, revision="A")
    assert "rev. A" in printed(batch)[0]

    batch_send(batch=batch, on=today, by=manager)
    add_file(line.part, manager, revision="B")

    html, _ = printed(batch)
    assert "rev. A" in html
    assert "rev. B" not in html
    assert f"{today:%a} {today.day} {today:%b %Y}" in html


def test_pieces_without_a_mass_are_counted_as_not_weighed(clip: Any, make_batch: Any, printed: Any) -> None:
    html, _ = printed(make_batch(clip("a", quantity=2, mass_kg=Decimal("1.5")), clip("b", quantity=3)))

    assert "3.00 kg, and 3 not weighed" in html


def test_what_the_finisher_must_mind_about_a_material_is_on_it(
    clip: Any, make_batch: Any, printed: Any
) -> None:
    html, _ = printed(make_batch(clip(material=Material.objects.get(key="fastener_10_9"))))

    assert "Take care:" in html


def test_galvanising_warns_of_sealed_sections(clip: Any, make_batch: Any, printed: Any, process: Any) -> None:
    batch = make_batch(clip())
    assert "Explosion" not in printed(batch)[0]

    FinishingBatch.objects.update(process=process("galvanise"))
    Operation.objects.update(process=process("galvanise"))
    assert "Explosion hazard" in printed(batch)[0]


def test_html_is_printed_and_not_obeyed(clip: Any, make_batch: Any, printed: Any) -> None:
    batch = make_batch(clip("<img src=file:///x>", masking="<b>all</b>", colour="<i>red</i>"))
    batch.note = "<script>x</script>"
    batch.save()

    html, _ = printed(batch)

    assert not any(tag in html for tag in ("<img src=file", "<b>all", "<i>red", "<script>"))


def test_a_fitter_may_print_it(clip: Any, make_batch: Any, printed: Any, as_fitter: Client) -> None:
    batch = make_batch(clip())

    assert as_fitter.get(f"/finishing/batches/{batch.pk}/note.pdf").status_code == 200


@pytest.mark.parametrize("count", [2, 20])
def test_the_number_of_queries_does_not_grow(
    clip: Any,
    make_batch: Any,
    printed: Any,
    manager: Any,
    count: int,
    django_assert_num_queries: Any,
) -> None:
    lines = [clip(f"clip {number}") for number in range(count)]
    for line in lines:
        add_file(line.part, manager, "photo")
        add_file(line.part, manager, revision="A")
    batch = make_batch(*lines)

    # session, person, workshop; batch, lines, drawings, photos, what materials take, overrules
    with django_assert_num_queries(9):
        printed(batch)


@pytest.mark.skipif(bool(missing_libraries()), reason="the system libraries that draw PDF are not installed")
def test_it_is_a_pdf_of_as_many_pages_as_it_needs(
    clip: Any, make_batch: Any, as_manager: Client, manager: Any
) -> None:
    lines = [clip(f"clip {number}") for number in range(30)]
    add_file(lines[0].part, manager, "photo")
    batch = make_batch(*lines)

    response = as_manager.get(f"/finishing/batches/{batch.pk}/note.pdf")

    pages = [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(response.content)).pages]
    assert len(pages) > 1
    assert all(f"clip {number}" in " ".join(pages) for number in range(30))
    assert "Goods-out note" in pages[1], "a page that has come loose says where it belongs"
    assert f"goods-out-note-{batch.pk}.pdf" in response["Content-Disposition"]

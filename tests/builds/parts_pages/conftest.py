"""A tank with a route card, a job that needs it, and days to speak of."""

from __future__ import annotations

from datetime import date, timedelta
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image


@pytest.fixture
def today() -> date:
    return timezone.localdate()


@pytest.fixture
def day(today: date) -> Any:
    """day(-3): three days ago."""
    return lambda offset: today + timedelta(days=offset)


@pytest.fixture
def welder(db: None) -> Any:
    from parts.models import Supplier

    return Supplier.objects.create(name="Harrow Lane Fabrications", phone="01632 960 101")


@pytest.fixture
def tank(tern: Any, make_part: Any, plater: Any, welder: Any) -> Any:
    return make_part(tern, "coolant tank", route=[("fabricate", welder, 5), ("zinc_plate", plater, 5)])


@pytest.fixture
def picture() -> Any:
    """picture(): a fresh upload of a small photo."""

    def make(name: str = "IMG_0001.jpg") -> SimpleUploadedFile:
        buffer = BytesIO()
        Image.new("RGB", (60, 40), "grey").save(buffer, "JPEG")
        return SimpleUploadedFile(name, buffer.getvalue(), content_type="image/jpeg")

    return make


@pytest.fixture
def drawing() -> Any:
    """drawing(): a fresh upload of a PDF."""
    return lambda: SimpleUploadedFile("d.pdf", b"%PDF-1.4\n%%EOF\n", content_type="application/pdf")

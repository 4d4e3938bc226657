"""A part with three lines on its route card, and days to speak of."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone


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

    return Supplier.objects.create(name="Quayside Fabrication", phone="01632 960 210")


@pytest.fixture
def bracket(tern: Any, make_part: Any, welder: Any, plater: Any) -> Any:
    """Fabricated, then drilled here, then zinc plated."""
    return make_part(
        tern,
        "radiator bracket",
        route=[("fabricate", welder, 10), ("machine", None, 2), ("zinc_plate", plater, 5)],
    )


@pytest.fixture
def lines(bracket: Any) -> list[Any]:
    return list(bracket.operations.all())

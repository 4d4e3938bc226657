"""Days about today, and a maker of radiators."""

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
def radiator_maker(db: None) -> Any:
    from parts.models import Supplier

    return Supplier.objects.create(name="Ostler Radiators")

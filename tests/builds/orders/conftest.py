"""Days to speak of, and a maker of what is bought in."""

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
def factor(db: None) -> Any:
    from parts.models import Supplier

    return Supplier.objects.create(name="Broadstrand Motor Factors", phone="01632 960 190")


@pytest.fixture
def pump(tern: Any, make_part: Any, make_job: Any, first_start_up: Any, factor: Any) -> Any:
    """Nothing else stands before first start-up: each day without the order moves it."""
    part = make_part(tern, "fuel pump", route=[("supply", factor, 20)])
    first_start_up(tern, make_job(tern, "Fit pump", needs=[part]))
    return part

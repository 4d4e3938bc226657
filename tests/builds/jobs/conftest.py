from datetime import datetime, timedelta

import pytest
from django.utils import timezone


@pytest.fixture
def at() -> datetime:
    """A Thursday morning in winter."""
    return timezone.make_aware(datetime(2026, 11, 26, 9, 30))


@pytest.fixture
def later(at: datetime) -> datetime:
    return at + timedelta(hours=2)

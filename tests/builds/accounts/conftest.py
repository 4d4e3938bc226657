"""Every test begins with no wrong tries remembered."""

from collections.abc import Iterator

import pytest
from django.core.cache import cache


@pytest.fixture(autouse=True)
def _no_strangers_remembered() -> Iterator[None]:
    cache.clear()
    yield
    cache.clear()

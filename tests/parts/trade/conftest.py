"""The rulebook as the program loads it."""

from __future__ import annotations

from typing import Any

import pytest


@pytest.fixture
def book(db: None) -> Any:
    from parts.services.trade import read_rulebook

    return read_rulebook()

"""A Wednesday on which nothing is closed: 3 March 2027."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from builds.network import WorkshopState, load_workshop

TODAY = date(2027, 3, 3)


@pytest.fixture
def today() -> date:
    return TODAY


@pytest.fixture
def state(db: None) -> Callable[[], WorkshopState]:
    return lambda: load_workshop(TODAY)


@pytest.fixture
def line() -> Callable[..., Any]:
    """line(part, 1, sent_on=…): change one line of a route card."""

    def change(part: Any, sequence: int = 1, **fields: Any) -> Any:
        operation = part.operations.get(sequence=sequence)
        for name, value in fields.items():
            setattr(operation, name, value)
        operation.save()
        return operation

    return change

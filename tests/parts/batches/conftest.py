"""A plater that plates, and clips ready for it."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone


@pytest.fixture
def today() -> date:
    return timezone.localdate()


@pytest.fixture
def open_plater(plater: Any, process: Callable[..., Any]) -> Any:
    """Offers zinc plating, and works on every day of the week so that today is as good as another."""
    plater.saturday = plater.sunday = True
    plater.save()
    plater.processes.add(process("zinc_plate"))
    return plater


@pytest.fixture
def clip(tern: Any, open_plater: Any, make_part: Callable[..., Any]) -> Callable[..., Any]:
    """clip('clip 1', colour='clear'): an operation that is ready for the plater."""

    def make(name: str = "clip", car: Any = None, key: str = "zinc_plate", **fields: Any) -> Any:
        part_fields = {
            field: fields.pop(field) for field in ("material", "length_mm", "quantity") if field in fields
        }
        part = make_part(car or tern, name, route=[(key, open_plater, 5)], **part_fields)
        operation = part.operations.get()
        for field, value in fields.items():
            setattr(operation, field, value)
        operation.save()
        return operation

    return make


@pytest.fixture
def unready(skua: Any, open_plater: Any, make_part: Callable[..., Any], today: date) -> Callable[..., Any]:
    """An operation at the plater whose part is still out at the machinist, three days late."""

    def make(name: str = "headlamp brackets") -> Any:
        part = make_part(skua, name, route=[("machine", open_plater, 5), ("zinc_plate", open_plater, 5)])
        part.operations.filter(sequence=1).update(
            sent_on=today - timedelta(20), promised_on=today - timedelta(3)
        )
        return part.operations.get(sequence=2)

    return make

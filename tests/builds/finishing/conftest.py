"""A plater that plates every day, clips ready for it, and brackets that are not."""

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
    plater.saturday = plater.sunday = True
    plater.save()
    plater.processes.add(process("zinc_plate"))
    return plater


@pytest.fixture
def clip(tern: Any, open_plater: Any, make_part: Callable[..., Any]) -> Callable[..., Any]:
    """clip('clip 1', colour='clear'): an operation that is ready for the plater."""

    def make(name: str = "clip", car: Any = None, **fields: Any) -> Any:
        part_names = ("material", "length_mm", "quantity", "mass_kg", "drawing_number")
        part_fields = {field: fields.pop(field) for field in part_names if field in fields}
        part = make_part(car or tern, name, route=[("zinc_plate", open_plater, 5)], **part_fields)
        part.operations.update(**fields)
        return part.operations.get()

    return make


@pytest.fixture
def late(skua: Any, open_plater: Any, make_part: Callable[..., Any], today: date) -> Any:
    """At the machinist, three days past the promise."""
    part = make_part(
        skua, "headlamp brackets", route=[("machine", open_plater, 5), ("zinc_plate", open_plater, 5)]
    )
    part.operations.filter(sequence=1).update(sent_on=today - timedelta(20), promised_on=today - timedelta(3))
    return part.operations.get(sequence=2)


@pytest.fixture
def make_batch(open_plater: Any, today: date) -> Callable[..., Any]:
    from parts.services.batches import batch_save

    def make(*lines: Any) -> Any:
        numbers = [line.pk for line in lines]
        return batch_save(operation_ids=numbers, supplier=open_plater, leaves="ready", today=today)

    return make


@pytest.fixture
def network_queries(db: None) -> int:
    """What reading the network costs by itself; its own tests pin it."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from builds.network import load_workshop

    with CaptureQueriesContext(connection) as asked:
        load_workshop(timezone.localdate())
    return len(asked)

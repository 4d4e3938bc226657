"""Steps the demo forward: what lies in it moves back by some days, and those days’ events happen.

The clock of the computer is left alone, so nothing else notices: a week ago is where today was. Never in a
workshop that is not the demo.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils import timezone

from builds.models import KeptPlan, Workshop

from .events import happen

OUR_APPS = ("builds", "parts", "engineering")
LONGEST_DAYS = 28
AT_ONCE = 100  # rows


@transaction.atomic
def demo_step(*, days: int, today: date) -> list[str]:
    """Let so many days go by, and say what happened in them.

    Raises ValidationError, and changes nothing, if this is not the demo or the days are not 1 to 28.
    """
    if not Workshop.objects.current().is_demo:
        raise ValidationError(
            "This workshop is not the demo: its days go by themselves. Nothing was changed. "
            "Make a demo with “make run” and FO_DATA_DIR set to an empty folder."
        )
    if not 1 <= days <= LONGEST_DAYS:
        raise ValidationError(f"The demo steps forward by 1 to {LONGEST_DAYS} days, not by {days}.")
    for model in _our_models():
        _shift(model, timedelta(days=days))
    KeptPlan.objects.all().delete()  # made of days that are over
    return happen(days=days, today=today)


def _our_models() -> Iterator[type[models.Model]]:
    for name in OUR_APPS:
        yield from apps.get_app_config(name).get_models()


def _shift(model: type[models.Model], by: timedelta) -> None:
    fields = [field.name for field in model._meta.concrete_fields if isinstance(field, models.DateField)]
    if not fields:
        return
    rows = list(model._default_manager.all())
    for row in rows:
        for name in fields:
            setattr(row, name, _earlier(getattr(row, name), by))
    # all days of a row at once: each constraint among them holds before and after
    model._default_manager.bulk_update(rows, fields, batch_size=AT_ONCE)


def _earlier(moment: Any, by: timedelta) -> Any:
    """The same hour on the clock on the wall, also where summer time began in between."""
    if not isinstance(moment, datetime):
        return moment - by if moment is not None else None
    local = timezone.localtime(moment).replace(tzinfo=None) - by
    return timezone.make_aware(local)

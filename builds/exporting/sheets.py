"""A sheet of an export, and the sheets that hold every row of every table.

The tables are walked by what the models say of themselves, so that a field added tomorrow is handed out too.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from django.apps import apps
from django.db import models

from builds.models import TableStamp

Value: TypeAlias = Any  # text, number, date, datetime, yes or no, nothing

OUR_APPS = ("builds", "parts", "engineering")
# Secrets and the marks of the sign-in stay here; a row's version only means something to an open form.
KEPT_BACK = frozenset({"password", "failed_tries", "locked_until", "last_login", "version"})
# What the name of a row is made of, so that it is read with the row.
NAMED_BY = {"operation": ("part", "process"), "finishingbatch": ("process",), "need": ("job", "part")}
LONGEST_SHEET_NAME = 31  # a limit of the file format (ECMA-376-1, 18.2.19)


@dataclass(frozen=True)
class ExportSheet:
    name: str
    headings: Sequence[str]
    rows: Iterable[Sequence[Value]]


def every_table() -> Iterator[ExportSheet]:
    """One sheet for each table of ours, with the names of what its rows point at beside their numbers."""
    names = _Names()
    for label in OUR_APPS:
        for model in apps.get_app_config(label).get_models():
            if model is not TableStamp:  # a mark of the database's own, which says nothing to anybody
                yield _table(model, names)


class _Names:
    """What people call the rows of a table; each table is read once."""

    def __init__(self) -> None:
        self._read: dict[type[models.Model], dict[Any, str]] = {}

    def of(self, model: type[models.Model]) -> Mapping[Any, str]:
        if model not in self._read:
            rows = model._default_manager.select_related(*NAMED_BY.get(model._meta.model_name or "", ()))
            self._read[model] = {row.pk: str(row) for row in rows}
        return self._read[model]


def _table(model: type[models.Model], names: _Names) -> ExportSheet:
    fields = [field for field in model._meta.concrete_fields if field.name not in KEPT_BACK]
    lists = [field for field in model._meta.many_to_many if field.remote_field.through._meta.auto_created]
    headings: list[str] = []
    for field in fields:
        name = "number" if field.primary_key else str(field.verbose_name)
        headings += [name, f"{name}, number"] if field.is_relation else [name]
    headings += [str(field.verbose_name) for field in lists]
    title = str(model._meta.verbose_name_plural)
    return ExportSheet(
        name=(title[:1].upper() + title[1:])[:LONGEST_SHEET_NAME],
        headings=headings,
        rows=_rows(model, fields, lists, names),
    )


def _rows(
    model: type[models.Model], fields: Sequence[Any], lists: Sequence[Any], names: _Names
) -> Iterator[list[Value]]:
    listed = [_listed(field, names) for field in lists]
    for row in model._default_manager.order_by("pk"):
        cells: list[Value] = []
        for field in fields:
            value = getattr(row, field.attname)
            if field.is_relation:
                cells += [names.of(field.related_model).get(value, "") if value is not None else "", value]
            else:
                cells.append(_plain(field, value))
        yield [*cells, *("; ".join(texts.get(row.pk, ())) for texts in listed)]


def _listed(field: Any, names: _Names) -> Mapping[Any, list[str]]:
    """For each row, the names in one of its lists."""
    through = field.remote_field.through
    pairs = through._default_manager.values_list(field.m2m_column_name(), field.m2m_reverse_name())
    known = names.of(field.related_model)
    found: dict[Any, list[str]] = defaultdict(list)
    for owner, other in pairs.order_by("pk"):
        found[owner].append(known[other])
    return found


def _plain(field: Any, value: Any) -> Value:
    if isinstance(field, models.JSONField):
        return (
            "; ".join(map(str, value)) if isinstance(value, list) else json.dumps(value, ensure_ascii=False)
        )
    if isinstance(field, models.FileField):
        return value.name if value else ""
    if field.choices and value not in (None, ""):
        return str(dict(field.flatchoices).get(value, value))
    return str(value) if isinstance(field, models.UUIDField) and value else value

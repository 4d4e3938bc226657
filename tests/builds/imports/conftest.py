"""Lists as people send them, and the two acts on them."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any

import pytest
from django.utils import timezone
from openpyxl import Workbook

from builds.services.imports import ImportPlan, ListFiles, import_add, import_preview


@pytest.fixture
def preview(manager: Any) -> Callable[..., ImportPlan]:
    """preview(car, jobs=bytes or text, parts=…, add_names=False): what would be added."""

    def look(target: Any, *, jobs: Any = None, parts: Any = None, add_names: bool = False) -> ImportPlan:
        return import_preview(
            target=target,
            files=ListFiles(_bytes(jobs), _bytes(parts)),
            may_add_names=add_names,
            by=manager,
            today=timezone.localdate(),
        )

    return look


@pytest.fixture
def add(manager: Any) -> Callable[..., ImportPlan]:
    """add(car, jobs=…, parts=…): add it, and give the plan."""

    def act(target: Any, *, jobs: Any = None, parts: Any = None, add_names: bool = False) -> ImportPlan:
        _, plan = import_add(
            target=target,
            files=ListFiles(_bytes(jobs), _bytes(parts)),
            may_add_names=add_names,
            by=manager,
            today=timezone.localdate(),
        )
        return plan

    return act


@pytest.fixture
def workbook() -> Callable[..., bytes]:
    """workbook([row, row, …], merge=['A2:A4'], name='Jobs'): an XLSX file."""

    def make(rows: Sequence[Sequence[Any]], *, merge: Sequence[str] = (), name: str = "Sheet1") -> bytes:
        book = Workbook()
        sheet = book.active
        sheet.title = name
        for row in rows:
            sheet.append(list(row))
        for cells in merge:
            sheet.merge_cells(cells)
        file = io.BytesIO()
        book.save(file)
        return file.getvalue()

    return make


def _bytes(content: Any) -> bytes | None:
    return content.encode() if isinstance(content, str) else content

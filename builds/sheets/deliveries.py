"""Goods in, several at once: what is out, what has been scanned or ticked, and what a scanner sent."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import groupby

from django.db.models import QuerySet

from builds.codes import read_label
from builds.models import Workshop
from parts.models import Operation, Part, Supplier
from parts.services.pieces import Count, count_of


@dataclass(frozen=True)
class Line:
    operation: Operation
    count: Count
    typed: str = ""  # how many, as somebody typed it

    @property
    def is_many(self) -> bool:
        return self.count.left > 1


@dataclass(frozen=True)
class FromSupplier:
    supplier: Supplier
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Delivery:
    on_list: tuple[Line, ...]  # in the order in which they were put there
    still_out: tuple[FromSupplier, ...]

    @property
    def is_empty(self) -> bool:
        return not (self.on_list or self.still_out)


@dataclass(frozen=True)
class Scanned:
    """What a scanned or typed code stands for: lines to put on the list, or words on why none."""

    operation_ids: tuple[int, ...] = ()
    words: str = ""


def read_delivery(chosen: Collection[int], typed: Mapping[str, str]) -> Delivery:
    """Two queries: what is out at suppliers, and what of it was counted in."""
    rows = out_at_suppliers().prefetch_related("goods_in")
    lines = {
        row.pk: Line(row, count, typed.get(f"count-{row.pk}", ""))
        for row in rows
        if (count := count_of(row)).left
    }
    rest = [line for key, line in lines.items() if key not in chosen]
    return Delivery(
        on_list=tuple(lines[key] for key in chosen if key in lines),
        still_out=tuple(
            FromSupplier(supplier, tuple(group))
            for supplier, group in groupby(rest, key=lambda line: line.operation.supplier)
            if supplier is not None
        ),
    )


def out_at_suppliers() -> QuerySet[Operation]:
    rows = Operation.objects.open().at_suppliers().filter(sent_on__isnull=False)
    rows = rows.filter(part__car__handed_over_on__isnull=True)
    rows = rows.select_related("part__car", "process", "supplier")
    return rows.order_by("supplier__name", "part__car__name", "part__name", "sequence")


def read_scan(text: str) -> Scanned:
    """The lines that are out of the part whose label was scanned."""
    workshop_code, part_code = read_label(text)
    if workshop_code and workshop_code != Workshop.objects.current().code.lower():
        return Scanned(words="That label is from another workshop: nothing was put on the list.")
    part = Part.objects.filter(code=part_code).select_related("car").first() if part_code.isalnum() else None
    if part is None:
        return Scanned(words=f"No part here has the label “{text[:60]}”. Look at the letters below the code.")
    found = tuple(row.pk for row in out_at_suppliers().filter(part=part) if count_of(row).left)
    if not found:
        return Scanned(words=f"{part.car}, {part}: nothing of it is out, so it cannot come in.")
    return Scanned(found)

"""Finding cars, jobs, parts, suppliers and customers by words, in any order and whatever their case."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeVar

from django.db.models import F, Model, Q, QuerySet

from builds.models import Car, Customer, Job
from parts.models import Part, Supplier

Row = TypeVar("Row", bound=Model)
MOST_SHOWN = 50
MOST_WORDS = 8  # each word is one more condition for the database


@dataclass(frozen=True)
class Found:
    """The first of what was found of one kind; `is_cut` says that there is more."""

    rows: tuple[Any, ...]
    is_cut: bool


@dataclass(frozen=True)
class Findings:
    cars: Found
    jobs: Found
    parts: Found
    suppliers: Found
    customers: Found | None  # None for whom customers are no business

    @property
    def is_empty(self) -> bool:
        kinds = (self.cars, self.jobs, self.parts, self.suppliers, self.customers)
        return not any(kind and kind.rows for kind in kinds)


def find(text: str, *, with_customers: bool) -> Findings:
    """Everything that has each of the words in one of its fields."""
    words = text.split()[:MOST_WORDS]
    cars = _with_words(Car.objects.all(), words, "name", "description", "place")
    jobs = _with_words(
        Job.objects.select_related("car", "area"), words, "title", "area__name", "car__name", "note"
    )
    parts = _with_words(
        Part.objects.select_related("car", "material"),
        words,
        "name",
        "drawing_number",
        "car__name",
        "material__name",
    )
    suppliers = _with_words(Supplier.objects.prefetch_related("processes"), words, "name", "processes__name")
    customers = _with_words(
        Customer.objects.prefetch_related("cars"), words, "name", "phone", "email", "address", "cars__name"
    )
    return Findings(
        cars=_cut(cars),
        jobs=_cut(
            jobs.order_by(F("done_at").asc(nulls_first=True), "car__name", "area__order", "position", "pk")
        ),
        parts=_cut(parts.order_by("name", "car__name")),
        suppliers=_cut(suppliers.distinct()),
        customers=_cut(customers.distinct()) if with_customers else None,
    )


def _with_words(rows: QuerySet[Row], words: list[str], *fields: str) -> QuerySet[Row]:
    for word in words:
        has_word = Q()
        for spelling in _spellings(word):
            for field in fields:
                has_word |= Q(**{f"{field}__icontains": spelling})
        rows = rows.filter(has_word)
    return rows


def _spellings(word: str) -> set[str]:
    """SQLite folds only the letters A to Z: É is looked for as such and as é."""
    return {word} if word.isascii() else {word, word.lower(), word.upper()}


def _cut(rows: QuerySet[Any]) -> Found:
    first = tuple(rows[: MOST_SHOWN + 1])
    return Found(first[:MOST_SHOWN], len(first) > MOST_SHOWN)

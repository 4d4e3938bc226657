"""Every address that shows a page, read from the project itself so that none can be forgotten."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.builds.accounts.roles import MANAGERS_ONLY, WITHOUT_SIGNING_IN

# Answers with something else than a page; tests of their own look at these.
NOT_A_PAGE = {
    "batch-note": "a PDF",
    "calendar-feed": "a stream for a phone's calendar",
    "calc-sheet-print": "a PDF",
    "calc-sheet-table": "a CSV file",
    "car-job-list": "a PDF",
    "export-car": "a workbook",
    "export-csv": "a ZIP file",
    "export-workbook": "a workbook",
    "batch-labels": "a PDF",
    "file": "a photo or a drawing",
    "import-example": "a workbook or CSV file",
    "job-acts": "a piece of the page Today",
    "loom-board": "a PDF",
    "loom-labels": "a PDF",
    "loom-workbook": "a workbook",
    "loom-workbook-new": "a workbook",
    "loom-pin-outs-print": "a PDF",
    "operation-labels": "a PDF",
    "operation-note": "a PDF",
    "order-paper": "a PDF",
    "plan-progress": "a piece of the page The week",
    "progress-sheet": "a PDF",
    "week-print": "a PDF",
}
# Looks different from thing to thing; the other addresses are a form or a list of one kind.
MANY_FACES = {
    "batch",
    "calc-sheet",
    "calc-sheet-new",
    "car",
    "goods-in",
    "goods-out",
    "job",
    "label",
    "part",
    "pieces-missing",
    "person",
}
# Needs more than its address to show its face.
QUERIES = {
    "search": ["?q=tank", "?q=zzzz", ""],
    "trade-rules": ["", "?process=all"],
    "today": ["", "?person={person_id}"],
}


def _patterns(resolver: URLResolver) -> Iterator[URLPattern]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from _patterns(entry)
        else:
            yield entry


PATTERNS = {str(pattern.name): pattern for pattern in _patterns(get_resolver("config.urls"))}
NAMES = sorted(PATTERNS)
OF_NOBODY = sorted(WITHOUT_SIGNING_IN - set(NOT_A_PAGE))
OF_MANAGERS = [name for name in NAMES if name not in NOT_A_PAGE and name not in WITHOUT_SIGNING_IN]
OF_FITTERS = [name for name in OF_MANAGERS if name not in MANAGERS_ONLY]


def paths(name: str, numbers: dict[str, list[Any]], *, all_faces: bool) -> list[str]:
    """The addresses of one name: one, or one for each of the things that look different."""
    keys = list(PATTERNS[name].pattern.converters)
    sole = {key: numbers[key][0] for key in keys}
    faces = [sole]
    if all_faces and name in MANY_FACES:
        faces = [sole | {key: value} for key in keys for value in numbers[key]]
    found = []
    for arguments in faces:
        path = reverse(name, kwargs=arguments)
        for query in QUERIES.get(name, [""]):
            address = path + query.format(**{key: values[0] for key, values in numbers.items()})
            if address not in found:
                found.append(address)
    return found

"""Every address, read from the project itself, and filled with numbers of things that are there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse

WORDS_IN_ADDRESSES = {"import-example": {"kind": "jobs", "ending": "csv"}}


def patterns_of(resolver: URLResolver) -> Iterator[URLPattern]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from patterns_of(entry)
        else:
            yield entry


PATTERNS = {str(pattern.name): pattern for pattern in patterns_of(get_resolver("config.urls"))}
NAMES = sorted(PATTERNS)


def address_of(name: str, everything: dict[str, Any]) -> str:
    """The address with numbers of things that are there; a thing that the cast lacks has number 1."""
    things = everything | WORDS_IN_ADDRESSES.get(name, {})
    arguments = {key: things.get(key, 1) for key in PATTERNS[name].pattern.converters}
    return reverse(name, kwargs=arguments)

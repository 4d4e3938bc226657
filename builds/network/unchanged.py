"""What was read of the workshop and not changed since: it is not read again.

At forty cars thirty thousand rows are read for a page, and a press changes one of them.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

from builds.stamps import Watched, stamps_now

Found = TypeVar("Found")
Stamps = tuple[str, ...]

_known: dict[str, tuple[Stamps, Any]] = {}


class Reading:
    """One reading of the workshop: the whole of it, else nothing is known."""

    def __init__(self, is_whole: bool) -> None:
        self.stamps = stamps_now() if is_whole else {}
        self.fresh: dict[str, tuple[Stamps, Any]] = {}

    def of(self, what: str, read: Callable[[], Found], *watched: Watched) -> Found:
        """What `read` gives of those tables alone, now or when it was last read; nobody may change it."""
        stamps = tuple(self.stamps[table.name] for table in watched if table.name in self.stamps)
        if len(stamps) < len(watched):
            return read()
        known = _known.get(what)
        if known is None or known[0] != stamps:
            known = self.fresh[what] = (stamps, read())
        return cast(Found, known[1])

    def keep(self) -> None:
        """Keep what was read, unless somebody has written since the reading began."""
        if self.fresh and stamps_now() == self.stamps:
            _known.update(self.fresh)


def forget() -> None:
    """Read everything anew the next time."""
    _known.clear()

"""What matters about a lot, in one sentence."""

from collections.abc import Sequence
from datetime import date

from parts.batching.lots import Candidate, Lot


def sentence(lot: Lot, today: date) -> str:
    """Say how many are ready and what the rest waits for.

    Parameters
    ----------
    lot : Lot
        The lot.
    today : date
        Dates of another year than today's carry their year.

    Returns
    -------
    str
        One sentence without a full stop.

    Examples
    --------
    >>> clips = [Candidate(n, "clip", "Tern", 1, "Zinc plate", is_ready=True) for n in range(10)]
    >>> expected = date(2027, 12, 9)
    >>> late = Candidate(11, "Headlamp brackets", "Skua", 2, "Zinc plate", ready_on=expected, days_late=3)
    >>> sentence(Lot("Zinc plate", "", "", (*clips, late)), date(2027, 11, 29))
    '10 ready, 1 late piece: Headlamp brackets of Skua, 3 days late, expected Thu 9 Dec'
    """
    coming = [member for member in lot.members if not member.is_ready]
    ready = len(lot.members) - len(coming)
    if not lot.members:
        return "Nothing here can go in: the material does not take the finish"
    if not coming:
        return f"All {ready} ready" if ready > 1 else "Ready"
    late = [member for member in coming if member.days_late]
    if late:
        what = f"{len(late)} late piece{'s' * (len(late) > 1)}"
        rest = len(coming) - len(late)
        also = f", {rest} more to come" if rest else ""
        return f"{_ready(ready)}, {what}: {_last(late, today)}{also}"
    return f"{_ready(ready)}, {len(coming)} to come: {_last(coming, today)}"


def short_day(day: date, today: date) -> str:
    """Write a day as the workshop does.

    Parameters
    ----------
    day : date
        The day.
    today : date
        The year is left out if it is today's.

    Returns
    -------
    str
        For example "Fri 12 Mar".

    Examples
    --------
    >>> short_day(date(2027, 3, 12), date(2027, 1, 1)), short_day(date(2027, 3, 12), date(2026, 12, 1))
    ('Fri 12 Mar', 'Fri 12 Mar 2027')
    """
    return f"{day:%a} {day.day} {day:%b}" + (f" {day.year}" if day.year != today.year else "")


def _ready(count: int) -> str:
    return f"{count} ready" if count else "None ready yet"


def _last(members: Sequence[Candidate], today: date) -> str:
    """The member that all the others wait for: one that nobody can date, else the last."""
    last = max(members, key=_readiness)
    late = f", {last.days_late} day{'s' * (last.days_late > 1)} late" if last.days_late else ""
    when = f"expected {short_day(last.ready_on, today)}" if last.ready_on else "nobody knows when"
    only = "" if len(members) == 1 else "the last is "
    return f"{only}{last.part} of {last.car}{late}, {when}"


def _readiness(member: Candidate) -> tuple[bool, date, int, str, str]:
    undated = member.ready_on is None
    return undated, member.ready_on or date.min, member.days_late, member.part, member.car

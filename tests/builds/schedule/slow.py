"""The same arithmetic done slowly: minute by minute, by definition, with nothing of the core in it.

Times are minutes from the midnight before the first day, as in the tests that use it.
"""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

Tie = tuple[str, str, str, int]  # before, after, kind, lag


class PastTheEnd(Exception):
    """The minutes run out after the last day, which says nothing about the dates asked for."""


class Minutes(bytes):
    """One byte for each minute of the horizon, 1 if it is worked; shown short when a test fails."""

    def __repr__(self) -> str:
        return f"<{len(self)} minutes, {sum(self)} of them worked>"


def worked_minutes(
    week: Mapping[int, Sequence[tuple[int, int]]],
    closed: Sequence[date],
    first: date,
    days: int,
    spans: Sequence[tuple[int, int]] = (),
) -> Minutes:
    """Mark every minute of the hours, then take the spans out again."""
    minutes = bytearray(days * 1440)
    for number in range(days):
        day = first + timedelta(days=number)
        if day in closed:
            continue
        for start, end in week.get(day.weekday(), ()):
            for minute in range(start, end):
                minutes[number * 1440 + minute] = 1
    for start, end in spans:
        for minute in range(max(start, 0), min(end, len(minutes))):
            minutes[minute] = 0
    return Minutes(minutes)


def finish_of(worked: bytes, start: int, work: int) -> int | None:
    """Count forward one minute at a time; None if the minutes run out."""
    moment = start
    while work > 0:
        if moment >= len(worked):
            return None
        work -= worked[moment]
        moment += 1
    return moment


def start_of(worked: bytes, finish: int, work: int) -> int | None:
    """Count backward one minute at a time; None if the minutes run out."""
    moment = finish
    while work > 0:
        if moment <= 0:
            return None
        moment -= 1
        work -= worked[moment]
    return moment


def earliest(
    order: Sequence[str],
    work: Mapping[str, int],
    worked: Mapping[str, bytes],
    not_before: Mapping[str, int],
    ties: Sequence[Tie],
) -> dict[str, tuple[int, int]] | None:
    """Try every start from 0 on for each activity until everything is satisfied."""
    dates: dict[str, tuple[int, int]] = {}
    for key in order:
        minutes = worked[key]
        for start in range(not_before.get(key, 0), len(minutes) + 1):
            if work[key] and (start == len(minutes) or not minutes[start]):
                continue
            if not _start_kept(start, key, ties, dates):
                continue
            finish = finish_of(minutes, start, work[key])
            if finish is None:
                return None
            if _finish_kept(finish, key, ties, dates):
                dates[key] = (start, finish)
                break
        else:
            return None
    return dates


def latest(
    order: Sequence[str],
    work: Mapping[str, int],
    worked: Mapping[str, bytes],
    due: Mapping[str, int],
    ties: Sequence[Tie],
) -> dict[str, tuple[int, int]] | None:
    """Try every start downward from the tightest bound; None if one runs out of time before the horizon.

    Raises `PastTheEnd` if the horizon is too short at its other end to tell.
    """
    dates: dict[str, tuple[int, int]] = {}
    for key in reversed(order):
        bounds = {"S": [], "F": [due[key]] if key in due else []}
        for before, after, kind, lag in ties:
            if before == key and after in dates:
                bounds[kind[0]].append(dates[after]["SF".index(kind[1])] - lag)
        if not bounds["S"] + bounds["F"]:
            continue
        minutes = worked[key]
        tightest = min(bounds["S"] + bounds["F"])  # for the start as well: no finish is before its start
        if tightest > len(minutes):
            raise PastTheEnd
        for start in range(tightest, -1, -1):
            if work[key] and (start == len(minutes) or not minutes[start]):
                continue
            finish = finish_of(minutes, start, work[key])
            if finish is None:
                raise PastTheEnd
            if all(finish <= bound for bound in bounds["F"]):
                dates[key] = (start, finish)
                break
        else:
            return None
    return dates


def _start_kept(start: int, key: str, ties: Sequence[Tie], dates: Mapping[str, tuple[int, int]]) -> bool:
    return all(
        start >= dates[before]["SF".index(kind[0])] + lag
        for before, after, kind, lag in ties
        if after == key and kind[1] == "S"
    )


def _finish_kept(finish: int, key: str, ties: Sequence[Tie], dates: Mapping[str, tuple[int, int]]) -> bool:
    return all(
        finish >= dates[before]["SF".index(kind[0])] + lag
        for before, after, kind, lag in ties
        if after == key and kind[1] == "F"
    )

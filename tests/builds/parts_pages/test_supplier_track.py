"""How a supplier's promises turn out, by process, and which lead time the forecast takes from it."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest
from django.test import Client

from builds.network import load_workshop
from builds.schedule.supplier_record import PastJob
from builds.sheets.track import _plot, read_tracks
from parts.services.operations import operation_accept, operation_reject, operation_send


def workdays(begin: date, end: date) -> int:
    """Working days by numpy: the supplier works Monday to Friday and there are no holidays between."""
    return int(np.busday_count(begin, end))


@pytest.fixture
def no_holidays(workshop: Any) -> None:
    workshop.country = ""
    workshop.save()


def went(part: Any, fitter: Any, out: date, promised: date, back: date, *, bad: bool = False) -> None:
    line = operation_send(operation=part.operations.get(), on=out, by=fitter, promised_on=promised)
    if bad:
        operation_reject(operation=line, on=back, by=fitter, reason="bent", rework=False)
    else:
        operation_accept(operation=line, on=back, by=fitter)


def test_jobs_late_ones_and_rejects_are_counted_by_process(
    no_holidays: None, tern: Any, make_part: Any, welder: Any, fitter: Any, today: Any, day: Any
) -> None:
    for name, promised, back, bad in (("a", -10, -10, False), ("b", -10, -4, False), ("c", -9, -3, True)):
        part = make_part(tern, name, route=[("fabricate", welder, 8)])
        went(part, fitter, day(-24), day(promised), day(back), bad=bad)
    make_part(tern, "to come", route=[("engrave", welder, 3)])
    tracks = {track.process.key: track for track in read_tracks(welder, load_workshop(today))}
    made = tracks["fabricate"]
    assert (made.jobs, made.late, made.rejected) == (3, 2, 1)
    assert (tracks["engrave"].jobs, tracks["engrave"].plot) == (0, None)
    assert made.plot is not None
    for promised, back in ((-10, -10), (-10, -4), (-9, -3)):
        words = f"promised {workdays(day(-24), day(promised))}, took {workdays(day(-24), day(back))}"
        assert words in made.plot.words


def test_what_went_and_came_together_is_one_delivery(
    no_holidays: None, tern: Any, make_part: Any, welder: Any, fitter: Any, today: Any, day: Any
) -> None:
    for name, back in (("a", -4), ("b", -4), ("c", -3)):  # the third came a day later: a delivery of its own
        went(make_part(tern, name, route=[("fabricate", welder, 8)]), fitter, day(-24), day(-10), day(back))
    (track,) = read_tracks(welder, load_workshop(today))
    assert (track.jobs, track.late) == (2, 2)
    assert track.why.startswith("2 deliveries, on average")


def test_without_a_record_the_estimate_is_used_and_with_one_it_moves(
    no_holidays: None, tern: Any, make_part: Any, welder: Any, fitter: Any, today: Any, day: Any
) -> None:
    first = make_part(tern, "first", route=[("fabricate", welder, 8)])
    (before,) = read_tracks(welder, load_workshop(today))
    assert before.why == "No delivery on record yet: the estimate as it is."
    assert before.even_chance_days == pytest.approx(8, rel=0.01)  # low, likely and high are all 8
    went(first, fitter, day(-28), day(-21), day(-1))  # promised a week, took nearly four
    (after,) = read_tracks(welder, load_workshop(today))
    assert after.even_chance_days is not None
    assert before.even_chance_days is not None
    assert after.even_chance_days > before.even_chance_days
    assert after.four_in_five_days is not None
    assert after.four_in_five_days > after.even_chance_days


def test_what_took_what_was_promised_lies_on_the_line() -> None:
    plot = _plot([PastJob(5, 5), PastJob(5, 5), PastJob(10, 20)])
    on_line, late = plot.dots
    assert on_line.x == pytest.approx(plot.side - on_line.y)
    assert (on_line.count, on_line.is_late) == (2, False)
    assert late.is_late
    assert (plot.side - late.y) / late.x == pytest.approx(2)
    assert plot.words == "promised 5, took 5, 2 times; promised 10, took 20"


def test_every_dot_lies_within_the_rules() -> None:
    for days in (0.5, 1, 7.5, 39, 400, 4000):
        plot = _plot([PastJob(days, days)])
        assert all(0 <= dot.x <= plot.side and 0 <= dot.y <= plot.side for dot in plot.dots)


def test_the_page_shows_the_record_with_its_reason(
    no_holidays: None, tern: Any, make_part: Any, welder: Any, fitter: Any, day: Any, as_fitter: Client
) -> None:
    went(make_part(tern, "a", route=[("fabricate", welder, 8)]), fitter, day(-24), day(-10), day(-3))
    page = as_fitter.get(welder.get_absolute_url()).content.decode()
    assert "How its promises turn out" in page
    assert "the estimate" in page

"""A supplier's record by process: promised against taken, rejects, and the lead time the forecast uses."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from builds.network import WorkshopState
from builds.network.calendars import DAY_MIN
from builds.schedule.pert import FOUR_IN_FIVE
from builds.schedule.spread import Pert
from builds.schedule.supplier_record import Expectation, PastJob, expected_lead
from parts.models import Operation, Process, Supplier

SIDE = 260  # of the drawing, in its own units
FIRST_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500)
MOST_MARKS = 8


@dataclass(frozen=True)
class Dot:
    """Jobs that were promised and took the same days."""

    x: float
    y: float
    count: int
    is_late: bool

    @property
    def radius(self) -> float:
        return 4.5 + 1.5 * min(self.count - 1, 4)


@dataclass(frozen=True)
class Mark:
    """A graduation, at the same distance along both rules."""

    x: float
    y: float
    label: int


@dataclass(frozen=True)
class Plot:
    """Days promised to the right, days taken upwards; on the line it took what was promised."""

    dots: tuple[Dot, ...]
    marks: tuple[Mark, ...]
    words: str
    side: int = SIDE


@dataclass(frozen=True)
class Track:
    """One process at one supplier."""

    process: Process
    jobs: int
    late: int
    rejected: int
    plot: Plot | None  # None: nothing has come back
    estimate: Operation | None  # the newest line of a route card, whose lead time the forecast starts from
    even_chance_days: float | None
    four_in_five_days: float | None
    why: str


def read_tracks(supplier: Supplier, state: WorkshopState) -> tuple[Track, ...]:
    """Each process that the supplier has done or is to do. Two queries beside the network's and the record's.

    Days are the supplier's working days, from goods out to goods in, carriage included.
    """
    lines = (
        Operation.objects.filter(supplier=supplier).select_related("process").order_by("process__order", "pk")
    )
    newest: dict[int, Operation] = {}
    rejected: Counter[int] = Counter()
    for line in lines:
        newest[line.process_id] = line
        rejected[line.process_id] += line.result == Operation.Result.REJECTED
    records = state.forecaster.records
    return tuple(
        _track(supplier, line, records.get((supplier.pk, key), ()), rejected[key])
        for key, line in newest.items()
    )


def _track(supplier: Supplier, line: Operation, jobs: Sequence[PastJob], rejected: int) -> Track:
    expected = _expected(supplier, line, jobs)
    return Track(
        process=line.process,
        jobs=len(jobs),
        late=sum(job.actual_days > job.promised_days for job in jobs),
        rejected=rejected,
        plot=_plot(jobs) if jobs else None,
        estimate=line if expected else None,
        even_chance_days=expected.spread.median / DAY_MIN if expected else None,
        four_in_five_days=float(expected.spread.quantiles([FOUR_IN_FIVE])[0]) / DAY_MIN if expected else None,
        why=expected.why if expected else "",
    )


def _expected(supplier: Supplier, line: Operation, jobs: Sequence[PastJob]) -> Expectation | None:
    """As the forecast takes it, for a line that is estimated like this one and has no promise yet."""
    ways = 1 if line.process.kind == Process.Kind.SUPPLY else 2
    extra = ways * supplier.carriage_days
    figures = (line.lead_low_days + extra, line.lead_likely_days + extra, line.lead_high_days + extra)
    if figures[1] <= 0:
        return None
    return expected_lead(jobs, Pert(*(float(days) * DAY_MIN for days in figures)))


def _plot(jobs: Sequence[PastJob]) -> Plot:
    longest = max(max(job.promised_days, job.actual_days) for job in jobs)
    step = next((step for step in FIRST_STEPS if step * MOST_MARKS >= longest), FIRST_STEPS[-1])
    top = step * (int(longest / step) + 1)
    found = Counter((job.promised_days, job.actual_days) for job in jobs)
    return Plot(
        dots=tuple(
            Dot(round(SIDE * x / top, 1), round(SIDE * (1 - y / top), 1), count, y > x)
            for (x, y), count in sorted(found.items())
        ),
        marks=tuple(
            Mark(round(SIDE * days / top, 1), round(SIDE * (1 - days / top), 1), days)
            for days in range(0, top + 1, step)
        ),
        words="; ".join(_dot_words(found)),
    )


def _dot_words(found: Counter[tuple[float, float]]) -> Iterator[str]:
    for (promised, taken), count in sorted(found.items()):
        times = f", {count} times" if count > 1 else ""
        yield f"promised {promised:g}, took {taken:g}{times}"

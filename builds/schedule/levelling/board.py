"""What is taken when: the board on which tasks are put one after another."""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field

from builds.schedule.calendar import WorkCalendar
from builds.schedule.errors import BeyondHorizon
from builds.schedule.levelling.problem import WHOLE_CAR, Crew, Placed, Problem


@dataclass(slots=True)
class Booked:
    """When one person is taken: stretches in order and apart."""

    starts: list[int] = field(default_factory=list)
    finishes: list[int] = field(default_factory=list)

    def free_from(self, start: int, finish: int) -> int:
        """Give `start` if [start, finish) is free, else the end of the first stretch in its way [min]."""
        here = bisect_right(self.finishes, start)
        if here < len(self.starts) and self.starts[here] < finish:
            return self.finishes[here]
        return start

    def skip(self, moment: int, work: int) -> int:
        """Give the first moment from `moment` on that has `work` minutes by the clock free after it [min]."""
        here = bisect_right(self.finishes, moment)
        while here < len(self.starts) and self.starts[here] < moment + work:
            moment = self.finishes[here]
            here += 1
        return moment

    def insert(self, start: int, finish: int) -> None:
        """Book a free stretch as it is."""
        if start < finish:
            here = bisect_left(self.starts, start)
            self.starts.insert(here, start)
            self.finishes.insert(here, finish)

    def take(self, start: int, finish: int, hours: WorkCalendar) -> None:
        """Book a free stretch; what is left of a day before the next stretch is not searched again."""
        here = bisect_left(self.starts, start)
        if here < len(self.starts) and hours.between(finish, self.starts[here]) == 0:
            finish = self.finishes[here]
            del self.starts[here], self.finishes[here]
        if here > 0 and hours.between(self.finishes[here - 1], start) == 0:
            self.finishes[here - 1] = finish
        else:
            self.starts.insert(here, start)
            self.finishes.insert(here, finish)


@dataclass(slots=True)
class Level:
    """How much of a counted thing is held: a level from each moment to the next."""

    capacity: int
    moments: list[int] = field(default_factory=list)
    levels: list[int] = field(default_factory=list)

    def free_from(self, start: int, finish: int, asked: int) -> int:
        """Give `start` if `asked` more fit into [start, finish), else when to try again [min]."""
        room = self.capacity - asked
        blocked = False
        for number in range(max(0, bisect_right(self.moments, start) - 1), len(self.moments)):
            if blocked and self.levels[number] <= room:
                return self.moments[number]
            if self.moments[number] >= finish and not blocked:
                break
            blocked = blocked or self.levels[number] > room
        return start

    def take(self, start: int, finish: int, asked: int) -> None:
        """Hold `asked` more over [start, finish)."""
        first, last = self._cut(start), self._cut(finish)
        for number in range(first, last):
            self.levels[number] += asked

    def _cut(self, moment: int) -> int:
        here = bisect_left(self.moments, moment)
        if here == len(self.moments) or self.moments[here] != moment:
            self.moments.insert(here, moment)
            self.levels.insert(here, self.levels[here - 1] if here else 0)
        return here


def levels_of(problem: Problem) -> dict[str, Level]:
    """Give a level for each counted thing and for each car that goes away, nothing held of any.

    Parameters
    ----------
    problem : Problem
        What is to be levelled.

    Returns
    -------
    dict of str to Level
        By the key of the thing or the car.
    """
    levels = {key: Level(thing.capacity) for key, thing in problem.counted.items()}
    return levels | {key: Level(WHOLE_CAR) for key in problem.leaving.values()}


class Board:
    """What has been placed so far."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.people = {worker.key: Booked() for worker in problem.workers}
        self.levels = levels_of(problem)

    def fit(self, place: int, ready: int, crews: tuple[Crew, ...]) -> Placed | None:
        """Give the earliest finish of a task from `ready` on with any of the crews; None if it has none."""
        best: Placed | None = None
        for crew in crews:
            hours = self.problem.hours_of(place, crew)
            if hours is None:
                continue
            found = self._fit_crew(place, ready, crew, hours, best.finish if best else None)
            if found is not None and (best is None or found.finish < best.finish):
                best = found
        return best

    def take(self, place: int, placed: Placed) -> None:
        """Book all that a task takes up."""
        for who in placed.people:
            hours = self.problem.by_name[who].calendar
            assert hours is not None  # nobody without hours is in a crew
            self.people[who].take(placed.start, placed.finish, hours)
        for key, asked in self.problem.holds[place]:
            self.levels[key].take(placed.start, placed.finish, asked)

    def _fit_crew(
        self, place: int, ready: int, crew: Crew, hours: WorkCalendar, before: int | None
    ) -> Placed | None:
        work = self.problem.tasks[place].work_min
        booked = [self.people[who] for who in crew]
        uses = [(self.levels[key], asked) for key, asked in self.problem.holds[place]]
        moment = ready
        while before is None or moment + work < before:
            for person in booked:
                moment = person.skip(moment, work)
            try:
                start, finish = hours.earliest(moment, work)
            except BeyondHorizon:
                return None
            again = start
            for person in booked:
                again = max(again, person.free_from(start, finish))
            for level, asked in uses:
                again = max(again, level.free_from(start, finish, asked))
            if again == start:
                return Placed(start, finish, crew)
            moment = again
        return None

"""Random networks for the tests, as plain values: what the core and the slow reference both read."""

from dataclasses import dataclass
from datetime import date

from hypothesis import strategies as st

from builds.schedule.calendar import WorkCalendar
from builds.schedule.network import Activity, Link, LinkKind, Network
from tests.builds.schedule import slow

FIRST = date(2000, 1, 1)  # the core's minute 0 is then the slow reference's minute 0
DAYS = 11  # twice what any network here needs, so that only refusals on purpose meet the end
WEEKS = {
    "clock": dict.fromkeys(range(7), ((0, 1440),)),
    "shop": {
        5: ((480, 500), (510, 540)),
        6: ((480, 520),),
        0: ((470, 560),),
        1: ((480, 540),),
        2: ((0, 90),),
    },
    "weekday": dict.fromkeys(range(3), ((100, 200),)),
}
HOLES = {"shop": ((485, 488), (1930, 2000)), "weekday": ((3000, 3020),), "clock": ()}
WORKED = {name: slow.worked_minutes(week, (), FIRST, DAYS, HOLES[name]) for name, week in WEEKS.items()}
CALENDARS = {
    name: WorkCalendar.build(week, (), FIRST, FIRST.replace(day=DAYS), HOLES[name])
    for name, week in WEEKS.items()
}


@dataclass(frozen=True)
class Plain:
    """A network that nobody has worked on yet; the order of `work` is a working order."""

    start: int
    work: dict[str, int]
    calendar: dict[str, str]
    not_before: dict[str, int]
    ties: list[slow.Tie]

    def built(self) -> Network:
        return Network.build(
            [Activity(k, w, self.calendar[k], self.not_before.get(k)) for k, w in self.work.items()],
            [Link(before, after, LinkKind(kind), lag) for before, after, kind, lag in self.ties],
            CALENDARS,
            self.start,
        )

    def ends(self) -> list[str]:
        awaited = {tie[0] for tie in self.ties}
        return [key for key in self.work if key not in awaited]


@st.composite
def plain_networks(draw, calendars=tuple(WEEKS), kinds=("FS", "SS", "FF", "SF"), least_lag=-40):
    size = draw(st.integers(1, 7))
    keys = draw(st.permutations("abcdefg"[:size]))
    ties = [
        (keys[low], keys[high], draw(st.sampled_from(kinds)), draw(st.integers(least_lag, 60)))
        for low in range(size)
        for high in range(low + 1, size)
        if draw(st.integers(0, 2)) == 0
    ]
    return Plain(
        start=draw(st.integers(1000, 2200)),
        work={key: draw(st.one_of(st.just(0), st.integers(1, 70))) for key in keys},
        calendar={key: draw(st.sampled_from(calendars)) for key in keys},
        not_before={key: draw(st.integers(900, 3000)) for key in keys if draw(st.integers(0, 3)) == 0},
        ties=ties,
    )

"""Invented networks for the benchmarks, the same ones every time."""

import random
from datetime import date, datetime

from builds.schedule.calendar import WorkCalendar, to_minutes
from builds.schedule.draws import Together
from builds.schedule.network import Activity, Link, Network
from builds.schedule.spread import Lognormal, Pert, Spread

FIRST, LAST = date(2026, 1, 1), date(2033, 12, 31)
START = to_minutes(datetime(2027, 3, 8, 8))
DAY_MIN = 1440
WEEKDAYS = range(5)


def bare(size: int, seed: int = 1) -> tuple[Network, dict[str, Spread], list[str]]:
    """Jobs round the clock, each after one to three earlier ones; one target after all of them."""
    pick = random.Random(seed)
    calendars = {"clock": WorkCalendar.around_the_clock(FIRST, LAST)}
    activities, links, spreads = [], [], {}
    awaited = set()
    for number in range(size - 1):
        key = f"j{number:05}"
        low = pick.randint(30, 600)
        likely, high = low + pick.randint(1, 400), low + pick.randint(500, 3000)
        activities.append(Activity(key, likely, "clock"))
        spreads[key] = Pert(low, likely, high)
        near = range(max(0, number - 60), number)
        for before in pick.sample(near, min(len(near), pick.choice((1, 1, 2, 2, 3)))):
            links.append(Link(f"j{before:05}", key))
            awaited.add(before)
    activities.append(Activity("end", 0, "clock"))
    links += [Link(f"j{number:05}", "end") for number in range(size - 1) if number not in awaited]
    return Network.build(activities, links, calendars, START), spreads, ["end"]


def workshop(size: int, seed: int = 1) -> tuple[Network, dict[str, Spread], list[str], dict[str, Together]]:
    """Cars with jobs, cures, parts at suppliers, batches that wait for their last piece, and stays away.

    A car has 50 activities: 29 jobs in a chain with side branches, 20 operations of ten parts (make, then
    finish in a batch with the other car of the pair) and one milestone.
    """
    pick = random.Random(seed)
    closed = [date(year, 12, day) for year in range(2026, 2034) for day in range(24, 32)]
    hours = dict.fromkeys(WEEKDAYS, ((480, 750), (780, 1020))) | {4: ((480, 750), (780, 960))}
    shop = WorkCalendar.build(hours, closed, FIRST, LAST)
    calendars = {"shop": shop}
    for number in range(20):
        free = pick.sample(closed, 5)
        calendars[f"supplier {number}"] = WorkCalendar.whole_days(WEEKDAYS, free, FIRST, LAST)
    activities: list[Activity] = []
    links: list[Link] = []
    spreads: dict[str, Spread] = {}
    together: dict[str, Together] = {}
    targets = []
    for car in range(size // 50):
        calendars[f"car {car}"] = _on_the_car(shop, pick)
        targets.append(_car(car, pick, activities, links, spreads, together))
    gates = sorted({link.after for link in links if link.after.startswith("gate")})
    activities += [Activity(gate, 0, "shop") for gate in gates]
    return Network.build(activities, links, calendars, START), spreads, targets, together


def _on_the_car(shop: WorkCalendar, pick: random.Random) -> WorkCalendar:
    leaves = START + pick.randint(5, 40) * DAY_MIN
    return shop.without([(leaves, leaves + pick.randint(5, 20) * DAY_MIN)])


def _car(
    car: int,
    pick: random.Random,
    activities: list[Activity],
    links: list[Link],
    spreads: dict[str, Spread],
    together: dict[str, Together],
) -> str:
    def add(key: str, calendar: str, spread: Spread) -> str:
        activities.append(Activity(key, round(spread.median_min), calendar))
        spreads[key] = spread
        return key

    jobs = []
    for number in range(29):
        low = pick.randint(30, 300)
        spread = Pert(low, low + pick.randint(1, 200), low + pick.randint(250, 1500))
        place = f"car {car}" if pick.random() < 0.6 else "shop"
        jobs.append(add(f"job {car}.{number}", place, spread))
        for before in {max(0, number - 1 - pick.randint(0, 2)), pick.randint(0, max(0, number - 1))}:
            if before < number:
                lag = pick.choice((0, 0, 0, 0, 720))
                links.append(Link(jobs[before], jobs[number], lag_min=lag))
    for number in range(10):
        make = add(
            f"make {car}.{number}",
            f"supplier {pick.randrange(10)}",
            Lognormal(pick.randint(5, 25) * DAY_MIN, 0.35),
        )
        batch = f"{car // 2}.{number % 3}"
        finish = add(
            f"finish {car}.{number}", f"supplier {10 + int(batch[-1])}", Pert(3 * 1440, 5 * 1440, 12 * 1440)
        )
        together[finish] = Together(f"batch {batch}")
        links += [Link(make, f"gate {batch}"), Link(f"gate {batch}", finish)]
        links.append(Link(finish, jobs[pick.randint(10, 28)]))
    target = f"start-up {car}"
    activities.append(Activity(target, 0, "shop"))
    links.append(Link(jobs[28], target))
    return target

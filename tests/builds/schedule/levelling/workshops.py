"""An invented workshop of any size: cars with job lists, route cards, stays away and promises."""

from datetime import date, datetime, timedelta
from random import Random

from builds.schedule.calendar import WorkCalendar, to_minutes
from builds.schedule.levelling.problem import Counted, Problem, Target, Task, Worker
from builds.schedule.network import Link

FIRST, LAST = date(2026, 1, 1), date(2033, 12, 31)
START = to_minutes(datetime(2027, 3, 1, 8))
DAY = ((480, 720), (750, 990))  # eight hours with half an hour at midday
CHRISTMAS = {date(year, 12, 24) + timedelta(days=n) for year in range(2026, 2034) for n in range(9)}
PEOPLE = {
    "Ann Marsh": {"engines", "electrics"},
    "Tomas Kell": {"welding"},
    "Joyce Penn": {"trim", "electrics"},
    "Olu Bright": {"engines"},
    "Wim Harte": {"welding", "engines"},
    "Rhona Sale": {"trim"},
}


def week(weekdays=range(5), closed=(), spans=()):
    return WorkCalendar.build(dict.fromkeys(weekdays, DAY), CHRISTMAS | set(closed), FIRST, LAST, spans)


def people(random, count, uneven):
    found = []
    for number in range(count):
        name, skills = list(PEOPLE.items())[number % len(PEOPLE)]
        holiday = ()
        if uneven:
            begins = START + random.randrange(10, 100) * 1440
            holiday = [(begins, begins + 14 * 1440)]
        weekdays = range(4) if uneven and number % 3 == 2 else range(5)
        found.append(
            Worker(f"{name} {number // 6 or ''}".strip(), week(weekdays, spans=holiday), frozenset(skills))
        )
    return found


def workshop(cars=12, jobs=100, workers=6, seed=0, uneven=True, previous=None, jobs_for=None):
    """Give a workshop: about 7 in 10 tasks of a car are jobs of people, the others are suppliers' lines.

    Its jobs ask for the skills, and its promises are made for the number, of the first `jobs_for` workers.
    """
    jobs_for = jobs_for or workers
    skills = sorted({skill for name in list(PEOPLE)[:jobs_for] for skill in PEOPLE[name]})
    random = Random(seed)
    calendars = {
        "shop": week(),
        "supplier": WorkCalendar.whole_days(range(5), CHRISTMAS, FIRST, LAST),
        "clock": WorkCalendar.around_the_clock(FIRST, LAST),
    }
    tasks, links, targets = [], [], []
    for number in range(cars):
        car = f"car {number + 1}"
        keys = []
        for job in range(jobs):
            key = f"{car} job {job + 1}"
            tasks.append(_job(random, key, car, skills))
            for before in random.sample(keys[-25:], min(len(keys), random.choice((0, 1, 1, 2)))):
                links.append(Link(before, key, lag_min=random.choice((0, 0, 0, 0, 0, 720))))
            if random.random() < 0.3:
                line = f"{key}: part"
                tasks.append(
                    Task(line, random.choice((3, 5, 10, 15)) * 1440, "supplier", car, people=0, uses=())
                )
                if keys and random.random() < 0.5:
                    links.append(Link(random.choice(keys), line))
                links.append(Link(line, key))
            keys.append(key)
        if number % 3 == 0:
            stay = f"{car} away"
            tasks.append(Task(stay, 5 * 1440, "supplier", car, "away", people=0))
            links.append(Link(keys[jobs // 3], stay))
            links.append(Link(stay, keys[2 * jobs // 3]))
        first = f"{car} first start-up"
        tasks.append(Task(first, 0, car=car, people=0))
        links.extend(Link(key, first) for key in keys)
        days = round((number + 1) * jobs * 7 / jobs_for / 8 * 1.5) + 20
        targets.append(Target(first, START + days * 1440))
    return Problem.build(
        tasks,
        links,
        people(random, workers, uneven),
        calendars,
        START,
        hours="shop",
        counted=[Counted("lift", 3)],
        targets=targets,
        previous=previous,
    )


def _job(random, key, car, skills):
    return Task(
        key,
        random.choice((30, 60, 90, 120, 180, 240, 360, 480, 960)),
        car=car,
        place=random.choice(("on", "on", "bench")),
        people=2 if random.random() < 0.08 else 1,
        skill=random.choice((None, None, *skills)),
        skilled=1 if random.random() < 2 else None,
        uses=(("lift", 1),) if random.random() < 0.1 else (),
    )


def jobs_of(work, links=(), workers=(), start=START, **more):
    """Give a problem of jobs by their working minutes, or as tasks; with Ann at work if nobody is named."""
    tasks = [
        Task(key, minutes) if isinstance(minutes, int) else minutes for key, minutes in dict(work).items()
    ]
    return Problem.build(
        tasks,
        links,
        workers or [Worker("Ann", week())],
        {"shop": week(), **CLOCK},
        start,
        hours="shop",
        **more,
    )


CLOCK = {"clock": WorkCalendar.around_the_clock(FIRST, LAST)}


def at(day, hour, minute=0, month=3):
    """Give a moment of 2027; 1 March is a Monday, and the start of the plan at eight."""
    return to_minutes(datetime(2027, month, day, hour, minute))

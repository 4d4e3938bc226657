"""Tiny problems against trying everything: the best plan is found, and the bound never passes it."""

from datetime import date, datetime
from random import Random

import pytest

from builds.schedule.calendar import WorkCalendar, to_minutes
from builds.schedule.levelling.check import check
from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.problem import Problem, Target, Task, Worker
from builds.schedule.levelling.serial import serial_plan
from builds.schedule.network import Link
from tests.builds.schedule.levelling.slots import Tiny

SLOT_MIN, DAYS = 30, 9
MONDAY = date(2027, 3, 1)
START = to_minutes(datetime(2027, 3, 1))
FULL = ((8, 12), (13, 17))
SHORT = ((10, 12), (13, 16))


def drawn(seed):
    """Up to five tasks for two people, some with a short day or a day off: the same problem twice."""
    random = Random(seed)
    hours = {"Ann": FULL, "Bob": random.choice((FULL, FULL, SHORT))}
    off = {name: random.choice((None, None, 0, 1, 2)) for name in hours}
    keys = "abcde"[: random.randint(2, 5)]
    needs = {key: random.choice(("any", "any", "weld", "both")) for key in keys}
    work = {key: random.choice((1, 2, 4, 7, 12, 20)) for key in keys}
    links = [
        (before, after, random.choice((0, 0, 0, 5, 24)))
        for number, after in enumerate(keys)
        for before in keys[:number]
        if random.random() < 0.25
    ]
    place = {key: random.choice(("bench", "on", "on", "away")) for key in keys}
    promise = random.choice((None, 20, 40, 60))
    targets = {keys[-1]: (promise, 10, 1), keys[0]: (None, 0, random.choice((1, 3)))}
    return hours, off, needs, work, links, place, targets


def in_slots(hours, off, needs, work, links, place, targets):
    here = {name: [_is_at_work(hours[name], off[name], slot) for slot in range(DAYS * 48)] for name in hours}
    shop = [_is_at_work(FULL, None, slot) for slot in range(DAYS * 48)]
    crews = {"any": [("Ann",), ("Bob",)], "weld": [("Bob",)], "both": [("Ann", "Bob")]}
    return Tiny(here, shop, work, {key: crews[need] for key, need in needs.items()}, links, place, targets)


def _is_at_work(hours, off, slot):
    day, hour = divmod(slot / 2, 24)
    return day % 7 < 5 and day != off and any(start <= hour < end for start, end in hours)


def as_problem(hours, off, needs, work, links, place, targets):
    def week(name):
        spans = tuple((start * 60, end * 60) for start, end in hours[name])
        closed = {MONDAY.replace(day=1 + off[name])} if off[name] is not None else ()
        return WorkCalendar.build(dict.fromkeys(range(5), spans), closed, MONDAY, MONDAY.replace(month=6))

    asked = {"any": (1, None), "weld": (1, "weld"), "both": (2, None)}
    tasks = [
        Task(k, work[k] * SLOT_MIN, None, "Tern", place[k], people=asked[need][0], skill=asked[need][1])
        for k, need in needs.items()
    ]
    shop = {"Shop": FULL}
    calendar = WorkCalendar.build(
        dict.fromkeys(range(5), tuple((a * 60, b * 60) for a, b in shop["Shop"])),
        (),
        MONDAY,
        MONDAY.replace(month=6),
    )
    return Problem.build(
        tasks,
        [Link(before, after, lag_min=lag * SLOT_MIN) for before, after, lag in links],
        [Worker("Ann", week("Ann")), Worker("Bob", week("Bob"), frozenset({"weld"}))],
        {"shop": calendar},
        START,
        hours="shop",
        targets=[
            Target(key, None if promise is None else START + promise * SLOT_MIN, late, early)
            for key, (promise, late, early) in targets.items()
        ],
    )


@pytest.mark.parametrize("seed", range(24))
def test_the_cheapest_plan_of_a_tiny_problem_is_found(seed):
    cheapest = in_slots(*drawn(seed)).cheapest() * SLOT_MIN
    problem = as_problem(*drawn(seed))
    start = serial_plan(problem)
    best = improve(problem, start, 0.4)
    assert check(problem, start.placed) == check(problem, best.placed) == ()
    assert best.bound.cost <= cheapest == best.cost <= start.cost

"""One line per car, sorted by what needs attention."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from builds.facts import CarFacts, MilestoneFacts, NextThing, WorkshopFacts
from builds.models import Car
from parts.batching.words import short_day
from parts.models import Call, Operation
from parts.services.calls import GAVE_DAYS


@dataclass(frozen=True)
class CarLine:
    car: Car
    facts: CarFacts
    next_thing: NextThing  # the most pressing that is left: nobody is asked to ring twice in a day
    rung: tuple[NextThing, ...]  # calls already made today, with what came of them

    @property
    def start_up(self) -> MilestoneFacts | None:
        return self.facts.first_start_up

    @property
    def left_out(self) -> str:
        """Why the people there are could not be counted, if they could not."""
        return self.start_up.people_left_out if self.start_up else ""


def cars_at_a_glance(facts: WorkshopFacts, *, with_people: bool) -> dict[str, Any]:
    """What the page of all cars shows; `with_people` says whether its dates have the people in them."""
    lines = car_lines(facts)
    # where it is so of some cars only, their own lines say it
    left_out = [line.left_out for line in lines if line.start_up and line.start_up.on]
    return {
        "lines": lines,
        "with_people": with_people,
        "left_out": left_out[0] if left_out and all(left_out) else "",
        "short": sum(line.start_up is not None and line.start_up.is_short for line in lines),
        "out": sum(line.facts.parts_out for line in lines),
        "late": sum(line.facts.parts_late for line in lines),
        "problems": facts.problems,
        "today": facts.today,
    }


def car_lines(facts: WorkshopFacts) -> list[CarLine]:
    """The cars in work: most working days short of the promise first, then most parts late, then name.

    One query, and four more where somebody is to be rung: the lines asked about, today's calls, and what
    each call was about and brought.
    """
    cars = [car for car in Car.objects.in_work() if car.pk in facts.cars]
    rung = _rung_today((thing for car in cars for thing in facts.cars[car.pk].next_things), facts.today)
    return sorted((_line(car, facts.cars[car.pk], rung) for car in cars), key=_attention)


def _line(car: Car, facts: CarFacts, rung: dict[int, str]) -> CarLine:
    """Goes on to what is left when the calls already made today are struck out."""
    left = next(thing for thing in facts.next_things if thing.ring_about not in rung)
    struck = facts.next_things[: facts.next_things.index(left)]
    done = tuple(NextThing(rung[thing.ring_about or 0], thing.url) for thing in struck)
    return CarLine(car, facts, left, done)


def _rung_today(things: Iterable[NextThing], today: date) -> dict[int, str]:
    """What came of today's newest call about each line that is to be rung about, by the line's key.

    A call noted without any line was about all that the supplier has.
    """
    asked = {thing.ring_about for thing in things if thing.ring_about is not None}
    if not asked:
        return {}
    lines = Operation.objects.filter(pk__in=asked).select_related("part", "supplier")
    calls = list(Call.objects.filter(made_at__date=today).prefetch_related("operations", "promises"))
    found: dict[int, str] = {}
    for line in lines:
        for call in calls:  # newest first
            named = {operation.pk for operation in call.operations.all()}
            if call.supplier_id == line.supplier_id and (line.pk in named or not named):
                found[line.pk] = f"{line.supplier} rung today about {line.part}: {_answer(call, line, today)}"
                break
    return found


def _answer(call: Call, line: Operation, today: date) -> str:
    """The day that was promised, or what was said where none was."""
    promises = call.promises.all()
    days = [promise.promised_on for promise in promises if promise.operation_id == line.pk]
    # the day that it had before makes no new promise; of several parts nobody can tell which one it was of
    is_only_one = not promises and [about.pk for about in call.operations.all()] == [line.pk]
    if call.said == GAVE_DAYS and line.promised_on and is_only_one:
        days.append(line.promised_on)
    return f"promised {short_day(days[0], today)}" if days else call.said


def _attention(line: CarLine) -> tuple[float, int, str]:
    start_up = line.start_up
    slip = start_up.slip_days if start_up and start_up.slip_days is not None else float("-inf")
    return (-slip, -line.facts.parts_late, line.car.name)

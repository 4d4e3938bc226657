"""One line per car, sorted by what needs attention."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from builds.facts import CarFacts, MilestoneFacts, WorkshopFacts
from builds.models import Car


@dataclass(frozen=True)
class CarLine:
    car: Car
    facts: CarFacts

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
    return {
        "lines": lines,
        "with_people": with_people,
        "left_out": next((line.left_out for line in lines if line.left_out), ""),
        "short": sum(line.start_up is not None and line.start_up.is_short for line in lines),
        "out": sum(line.facts.parts_out for line in lines),
        "late": sum(line.facts.parts_late for line in lines),
        "problems": facts.problems,
        "today": facts.today,
    }


def car_lines(facts: WorkshopFacts) -> list[CarLine]:
    """The cars in work: most working days short of the promise first, then most parts late, then name."""
    lines = [CarLine(car, facts.cars[car.pk]) for car in Car.objects.in_work() if car.pk in facts.cars]
    return sorted(lines, key=_attention)


def _attention(line: CarLine) -> tuple[float, int, str]:
    start_up = line.start_up
    slip = start_up.slip_days if start_up and start_up.slip_days is not None else float("-inf")
    return (-slip, -line.facts.parts_late, line.car.name)

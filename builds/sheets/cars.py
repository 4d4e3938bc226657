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


def cars_at_a_glance(facts: WorkshopFacts) -> dict[str, Any]:
    """What the page of all cars shows."""
    lines = car_lines(facts)
    return {
        "lines": lines,
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

"""Reads the project files of PSPLIB as problems of ours, and checks their schedules by itself.

R. Kolisch, A. Sprecher (1997) 'PSPLIB - A project scheduling problem library', European Journal of
Operational Research 96, 205-216. The files are offered for research.
"""

import re
from dataclasses import dataclass
from datetime import date

from builds.schedule.calendar import WorkCalendar
from builds.schedule.levelling.problem import Counted, Problem, Target, Task
from builds.schedule.network import Link

UNIT_MIN = 60  # one period of the library
CLOCK = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2001, 12, 31))}


@dataclass(frozen=True)
class Project:
    """A project with limited resources: jobs by number from 1, in whole periods."""

    durations: dict[int, int]
    successors: dict[int, tuple[int, ...]]
    requests: dict[int, tuple[int, ...]]
    capacities: tuple[int, ...]

    @property
    def end(self):
        return max(self.durations)

    def problem(self):
        """The same as a problem of ours: resources are counted things, and nobody is needed."""
        tasks = [
            Task(
                str(job),
                length * UNIT_MIN,
                "clock",
                people=0,
                uses=tuple((f"R{n}", asked) for n, asked in enumerate(self.requests[job]) if asked),
            )
            for job, length in self.durations.items()
        ]
        return Problem.build(
            tasks,
            [Link(str(job), str(after)) for job, afters in self.successors.items() for after in afters],
            [],
            CLOCK,
            0,
            hours="clock",
            counted=[Counted(f"R{n}", capacity) for n, capacity in enumerate(self.capacities)],
            targets=[Target(str(self.end))],
        )

    def length_of(self, plan):
        """The makespan in periods, as the plan has it."""
        return plan.placed[str(self.end)].finish / UNIT_MIN

    def faults(self, plan):
        """What is wrong with a plan, apart from the core: lengths, links, resources at every instant."""
        begins = {job: plan.placed[str(job)].start for job in self.durations}
        ends = {job: plan.placed[str(job)].finish for job in self.durations}
        found = [
            f"job {job} has another length"
            for job, length in self.durations.items()
            if ends[job] - begins[job] != length * UNIT_MIN
        ]
        found += [f"job {job} begins before the project" for job in begins if begins[job] < 0]
        found += [
            f"job {after} does not wait for {job}"
            for job, afters in self.successors.items()
            for after in afters
            if begins[after] < ends[job]
        ]
        for instant in sorted(set(begins.values())):  # what is held grows only where something begins
            going = [job for job in self.durations if begins[job] <= instant < ends[job]]
            for number, capacity in enumerate(self.capacities):
                held = sum(self.requests[job][number] for job in going)
                if held > capacity:
                    found.append(f"R{number + 1} is overdrawn at {instant}: {held} of {capacity}")
        if max(ends.values()) != ends[self.end]:
            found.append("the project ends before its last job")
        return found

    def makespan(self, plan):
        """The makespan in periods of a plan that has no fault."""
        assert self.faults(plan) == []
        return self.length_of(plan)


def read_project(text):
    """Read a single-mode file with renewable resources only."""
    blocks = [block.strip() for block in re.split(r"^\*+\s*$", text, flags=re.MULTILINE)]
    precedence = _rows(next(block for block in blocks if block.startswith("PRECEDENCE RELATIONS")))
    requests = _rows(next(block for block in blocks if block.startswith("REQUESTS/DURATIONS")))
    capacities = _rows(next(block for block in blocks if block.startswith("RESOURCEAVAILABILITIES")))
    assert all(row[1] == 1 for row in requests), "a project with several modes"
    return Project(
        durations={row[0]: row[2] for row in requests},
        successors={row[0]: tuple(row[3:]) for row in precedence},
        requests={row[0]: tuple(row[3:]) for row in requests},
        capacities=tuple(capacities[0]),
    )


def _rows(block):
    return [
        [int(n) for n in line.split()] for line in block.splitlines() if re.fullmatch(r"[\d\s]*\d\s*", line)
    ]

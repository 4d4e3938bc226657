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

    def makespan(self, plan):
        """The makespan in periods of a plan that keeps every link and resource at every instant."""
        begins = {job: plan.placed[str(job)].start for job in self.durations}
        ends = {job: plan.placed[str(job)].finish for job in self.durations}
        for job, length in self.durations.items():
            assert ends[job] - begins[job] == length * UNIT_MIN, f"job {job} has another length"
            assert begins[job] >= 0
            for after in self.successors[job]:
                assert begins[after] >= ends[job], f"job {after} does not wait for {job}"
        for instant in set(begins.values()):
            going = [job for job in self.durations if begins[job] <= instant < ends[job]]
            for number, capacity in enumerate(self.capacities):
                held = sum(self.requests[job][number] for job in going)
                assert held <= capacity, f"R{number} is overdrawn at {instant}: {held} of {capacity}"
        assert max(ends.values()) == ends[self.end]
        return ends[self.end] / UNIT_MIN


def read_project(text):
    """Read a single-mode file with renewable resources only."""
    blocks = re.split(r"^\*+\n", text, flags=re.MULTILINE)
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

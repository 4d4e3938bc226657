"""Reads the project files of PSPLIB as problems of ours, and checks their schedules by itself.

R. Kolisch, A. Sprecher (1997) 'PSPLIB - A project scheduling problem library', European Journal of
Operational Research 96, 205-216. The files are offered for research.
"""

import re
from collections import Counter
from dataclasses import dataclass
from datetime import date

from builds.schedule.calendar import WorkCalendar
from builds.schedule.levelling.problem import Counted, Problem, Target, Task
from builds.schedule.network import Link

UNIT_MIN = 60  # one period of the library
PRECEDENCE, REQUESTS = "PRECEDENCE RELATIONS", "REQUESTS/DURATIONS"
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


class BadProject(ValueError):
    """A file is no project that can be solved; its words say what is wrong."""


def read_project(text):
    """Read a single-mode file with renewable resources only; refuse any other with what is wrong with it."""
    blocks = [block.strip() for block in re.split(r"^\*+\s*$", text, flags=re.MULTILINE)]
    precedence = _rows(blocks, PRECEDENCE, 3)
    requests = _rows(blocks, REQUESTS, 3)
    capacities = _rows(blocks, "RESOURCEAVAILABILITIES", 1)[0]
    _refuse_jobs([row[0] for row in precedence], [row[0] for row in requests])
    _refuse_links(precedence)
    _refuse_requests(requests, len(capacities))
    return Project(
        durations={row[0]: row[2] for row in requests},
        successors={row[0]: tuple(row[3:]) for row in precedence},
        requests={row[0]: tuple(row[3:]) for row in requests},
        capacities=tuple(capacities),
    )


def _refuse_jobs(tied, asking):
    """Refuse unless each job has one line in both blocks."""
    for numbers, others, title in ((tied, asking, REQUESTS), (asking, tied, PRECEDENCE)):
        if missing := set(numbers) - set(others):
            raise BadProject(f"job {min(missing)} has no line under {title}")
    for numbers, title in ((tied, PRECEDENCE), (asking, REQUESTS)):
        if twice := [job for job, count in Counter(numbers).items() if count > 1]:
            raise BadProject(f"job {twice[0]} has more than one line under {title}")


def _refuse_links(precedence):
    jobs = {row[0] for row in precedence}
    for job, modes, count, *afters in precedence:
        if modes != 1:
            raise BadProject(f"job {job} has {modes} modes; only projects with one are solved")
        if count != len(afters):
            raise BadProject(f"job {job} says {count} successors and names {len(afters)}")
        if unknown := set(afters) - jobs:
            raise BadProject(f"job {job} goes before job {min(unknown)}, which is not there")


def _refuse_requests(requests, resources):
    for job, mode, _, *asked in requests:
        if mode != 1:
            raise BadProject(f"job {job} has mode {mode}; only projects with one are solved")
        if len(asked) != resources:
            raise BadProject(f"job {job} asks for {len(asked)} resources, and there are {resources}")


def _rows(blocks, title, least):
    """The lines of numbers in one block, each with so many at least."""
    block = next((block for block in blocks if block.startswith(title)), None)
    if block is None:
        raise BadProject(f"there is no block {title}")
    lines = [line for line in block.splitlines() if re.match(r"\s*-?\d", line)]
    if not lines:
        raise BadProject(f"there are no numbers under {title}")
    for line in lines:
        if not re.fullmatch(r"[\d\s]*", line) or len(line.split()) < least:
            raise BadProject(f"{line.strip()!r} under {title} is not {least} whole numbers or more")
    return [[int(n) for n in line.split()] for line in lines]

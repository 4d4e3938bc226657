"""From the names that a list uses for its jobs and parts to the jobs and parts themselves."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

from builds.importing.faults import BadValue
from builds.importing.headings import Record
from builds.importing.values import hours_of, words_of
from builds.models import Job
from parts.models import Part

from .jobs import JobKey, JobList
from .known import nearest
from .parts import PartsList
from .plan import AnyJob, AnyLine, AnyPart, ImportPlan, NewJob, NewLine, NewLink, NewNeed, NewPart
from .reading import Reading

_WAIT = re.compile(r"(?P<name>.+?)\s*\+\s*(?P<wait>\d[\d.,:]*\s*[a-z]*)", re.IGNORECASE)
_AS_FAR_AS = re.compile(r"(?P<name>.+?)\s*\(line (?P<number>\d{1,3})\)", re.IGNORECASE)


class References:
    """Reads the columns that name other rows, once all rows of both lists are known."""

    def __init__(self, plan: ImportPlan, jobs: JobList, parts: PartsList) -> None:
        self.plan, self.parts = plan, parts
        self.known_needs = parts.known.needs
        self.by_key, self.by_title = jobs.index()
        self.by_part = parts.index()
        self._alone: dict[str, list[AnyJob]] = defaultdict(list)
        for (_, title), job in self.by_title.items():
            self._alone[title].append(job)
        self._linked: set[tuple[AnyJob, NewJob]] = set()
        self._needs: dict[tuple[int, int], int] = {}  # job and part -> place in plan.needs

    def read_jobs(self, rows: Sequence[tuple[Record, NewJob]], reading: Reading) -> None:
        for record, job in rows:
            for name in reading.value(record, "after", words_of, []):
                self._link(record, job, name, reading)
            for name in reading.value(record, "needs", words_of, []):
                self._need_named(record, job, name, reading)

    def read_parts(
        self, rows: Sequence[tuple[Record, AnyPart, AnyLine | None, bool]], reading: Reading
    ) -> None:
        for record, part, line, is_new in rows:
            if is_new and isinstance(part, NewPart):
                for name in reading.value(record, "made by", words_of, [])[:1]:
                    job = self._job(record, "made by", name, reading)
                    if job is not None:
                        self.plan.made_by.append((part, job))
            if isinstance(line, NewLine):
                for job in self._jobs(record, "after", reading):
                    self.plan.line_after.append((line, job))
            card = list(self.parts.card(part).values())
            for job in self._jobs(record, "needed by", reading):
                self._need(job, part, None if line is None or line is card[-1] else line)

    def _jobs(self, record: Record, column: str, reading: Reading) -> list[AnyJob]:
        names = reading.value(record, column, words_of, [])
        found = (self._job(record, column, name, reading) for name in names)
        return list(dict.fromkeys(job for job in found if job is not None))

    def _link(self, record: Record, job: NewJob, name: str, reading: Reading) -> None:
        lag_hours = Decimal(0)
        waits = _WAIT.fullmatch(name)
        if waits and not self._found(name):
            name = waits["name"]
            try:
                lag_hours = hours_of(waits["wait"]).quantize(Decimal("0.1"), ROUND_HALF_UP)
            except BadValue as fault:
                reading.fault(record.row, "after", f"the wait behind “{name}” {fault}.")
                return
        before = self._job(record, "after", name, reading)
        if before is job:
            reading.fault(record.row, "after", f"“{job}” cannot come after itself.")
        elif before is not None and (before, job) not in self._linked:
            self._linked.add((before, job))
            self.plan.links.append(NewLink(before, job, lag_hours))

    def _job(self, record: Record, column: str, name: str, reading: Reading) -> AnyJob | None:
        found = self._found(name)
        if len(found) == 1:
            return found[0]
        if found:
            reading.fault(
                record.row,
                column,
                f"there are {len(found)} jobs “{name}”: write the area before it, as in “fuel: {name}”.",
            )
            return None
        spelled = [*self.by_key, *(str(job) for job in self.by_title.values())]
        reading.fault(
            record.row,
            column,
            f"there is no job “{name[:80]}” on this car or in this file.{nearest(name, spelled)}",
        )
        return None

    def _found(self, name: str) -> list[AnyJob]:
        """By key, by area and title, or by title alone: the first of these that fits."""
        plain = name.lower()
        if plain in self.by_key:
            return [self.by_key[plain]]
        for place in (place for place, sign in enumerate(plain) if sign == ":"):
            by_title: JobKey = (plain[:place].strip(), plain[place + 1 :].strip())
            if by_title in self.by_title:
                return [self.by_title[by_title]]
        return self._alone.get(plain, [])

    def _need_named(self, record: Record, job: NewJob, name: str, reading: Reading) -> None:
        number = None
        part = self.by_part.get(name.lower())
        as_far_as = _AS_FAR_AS.fullmatch(name)
        if part is None and as_far_as:
            part, number = self.by_part.get(as_far_as["name"].lower()), int(as_far_as["number"])
        if part is None:
            spelled = [str(known) for known in self.by_part.values()]
            reading.fault(
                record.row,
                "needs",
                f"there is no part “{name[:80]}” on this car.{nearest(name, spelled)} "
                "Send the parts list with the job list, or take the name out.",
            )
            return
        card = self.parts.card(part)
        if number is not None and number not in card:
            reading.fault(record.row, "needs", f"the route card of “{part}” has no line {number}.")
            return
        last = max(card, default=None)
        self._need(job, part, None if number in (None, last) else card[number])

    def _need(self, job: AnyJob, part: AnyPart, line: AnyLine | None) -> None:
        """Say it once; where one list says the whole card and the other a line, the line counts."""
        pair = (id(job), id(part))
        if isinstance(job, Job) and isinstance(part, Part) and (job.pk, part.pk) in self.known_needs:
            return
        if pair not in self._needs:
            self._needs[pair] = len(self.plan.needs)
            self.plan.needs.append(NewNeed(job, part, line))
        elif line is not None:
            self.plan.needs[self._needs[pair]] = NewNeed(job, part, line)

"""The rows of a job list: which are new, and what they say."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal

from builds.importing.faults import BadValue
from builds.importing.headings import Record
from builds.importing.values import hours_of, text_of, whole_of, words_of, yes_or_no
from builds.models import Job, Milestone

from .known import Known, nearest
from .plan import AnyJob, NewJob, There
from .reading import Reading

JobKey = tuple[str, str]  # area and title, in small letters
_KEY = re.compile(r"[-\w]{1,60}", re.ASCII)
PLACES = {
    "": Job.Place.ON_CAR,
    "on": Job.Place.ON_CAR,
    "on car": Job.Place.ON_CAR,
    "on the car": Job.Place.ON_CAR,
    "bench": Job.Place.BENCH,
    "at the bench": Job.Place.BENCH,
    "away": Job.Place.AWAY,
    "away with the car": Job.Place.AWAY,
    "at supplier with the car": Job.Place.AWAY,
}
OUR_MILESTONES = {kind.label: kind for kind in Milestone.Kind if kind != Milestone.Kind.OWN}


class JobList:
    """The jobs of one list: `rows` says for each row which job it is, new or there already."""

    def __init__(self, reading: Reading, known: Known, *, may_add_names: bool) -> None:
        self.reading, self.known, self.may_add_names = reading, known, may_add_names
        self.new: list[NewJob] = []
        self.there: list[There] = []
        self.new_areas: dict[str, str] = {}
        self.new_skills: dict[str, str] = {}
        self._by_key: dict[str, AnyJob] = {job.key.lower(): job for job in known.jobs if job.key}
        self._by_title: dict[JobKey, AnyJob] = {
            (job.area.name.lower(), job.title.lower()): job for job in known.jobs
        }
        self._rows: dict[object, int] = {}  # key, or area and title -> the row of this file that has it

    def read(self, records: Sequence[Record]) -> list[tuple[Record, NewJob]]:
        """The new jobs, each with its row, so that what it comes after can be read when all are known."""
        made = []
        for record in records:
            if self.reading.is_full:
                break
            job = self._job(record)
            if job is not None:
                made.append((record, job))
        return made

    def index(self) -> tuple[Mapping[str, AnyJob], Mapping[JobKey, AnyJob]]:
        """Every job of the car and the list, by key, and by area and title."""
        return self._by_key, self._by_title

    def _job(self, record: Record) -> NewJob | None:
        has_area = self.reading.required(record, "area")
        has_title = self.reading.required(record, "title")
        area = self._area(record) if has_area else ""
        title = self.reading.text(record, "title", 200) if has_title else ""
        key = self.reading.value(record, "key", _key_of, "")
        if not (area and title) or self._is_twice(record, key, (area.lower(), title.lower())):
            return None
        there = self._by_key.get(key.lower()) or self._by_title.get((area.lower(), title.lower()))
        if there is not None:
            self._by_key.setdefault(key.lower(), there)  # so that other rows may call it so
            other = "" if there.title.lower() == title.lower() else f" (here “{there.title}”, by its key)"
            self.there.append(There(record.row, f"{title}{other}"))
            return None
        job = self._new_job(record, area, title, key)
        self.new.append(job)
        self._by_title[area.lower(), title.lower()] = job
        if key:
            self._by_key[key.lower()] = job
        return job

    def _is_twice(self, record: Record, key: str, by_title: JobKey) -> bool:
        for mark, column, what in ((key.lower(), "key", "key"), (by_title, "title", "area and title")):
            if mark and mark in self._rows:
                self.reading.fault(record.row, column, f"row {self._rows[mark]} has the same {what}.")
                return True
        self._rows.update({mark: record.row for mark in (key.lower(), by_title) if mark})
        return False

    def _new_job(self, record: Record, area: str, title: str, key: str) -> NewJob:
        reading = self.reading
        place = reading.value(record, "place", _place_of, Job.Place.ON_CAR)
        supplier = reading.named(
            record,
            "supplier",
            self.known.suppliers,
            [supplier.name for supplier in self.known.suppliers.values()],
            "supplier",
        )
        if supplier is not None and place != Job.Place.AWAY:
            reading.fault(record.row, "supplier", "only a job away with the car has a supplier.")
        return NewJob(
            row=record.row,
            area_name=area,
            title=title,
            key=key,
            place=place,
            hours=self._hours(record),
            people=reading.value(record, "people", _people_of, 1),
            skill_name=self._skill(record),
            supplier=supplier,
            needs_signature=reading.value(record, "second signature", yes_or_no, False),
            cautions=tuple(reading.value(record, "cautions", _cautions_of, [])),
            milestones=tuple(reading.value(record, "milestone", _milestones_of, [])),
            note=reading.text(record, "note", 5000, lines=True),
        )

    def _hours(self, record: Record) -> tuple[Decimal, Decimal, Decimal]:
        nothing = Decimal(0)
        if not self.reading.required(record, "hours likely"):
            return nothing, nothing, nothing
        before = len(self.reading.faults)
        likely = self.reading.value(record, "hours likely", hours_of, nothing)
        low = self.reading.value(record, "hours low", hours_of, likely)
        high = self.reading.value(record, "hours high", hours_of, likely)
        if len(self.reading.faults) == before and not low <= likely <= high:
            self.reading.fault(
                record.row, "hours likely", f"{low}, {likely}, {high}: hours must run low, likely, high."
            )
        return low, likely, high

    def _area(self, record: Record) -> str:
        known = {key: area.name for key, area in self.known.areas.items()}
        return self._name(record, "area", {**known, **self.new_areas}, self.new_areas)

    def _skill(self, record: Record) -> str:
        known = {key: skill.name for key, skill in self.known.skills.items()}
        return self._name(record, "skill", {**known, **self.new_skills}, self.new_skills)

    def _name(self, record: Record, column: str, known: Mapping[str, str], new: dict[str, str]) -> str:
        """The name as the workshop spells it, or a new one where those may be added."""
        name = self.reading.text(record, column, 40)
        if not name or name.lower() in known:
            return known.get(name.lower(), "")
        if self.may_add_names:
            new[name.lower()] = name
            return name
        self.reading.fault(
            record.row,
            column,
            f"there is no {column} “{name}” here.{nearest(name, known.values())} "
            "If it is meant, tick ‘add new areas and skills’ and send the file again.",
        )
        return name  # so that the rest of the row is looked at, too


def _key_of(cell: object) -> str:
    key = text_of(cell)
    if not _KEY.fullmatch(key):
        raise BadValue(f"“{key[:60]}”: use up to 60 letters without accents, digits, hyphens and underscores")
    return key


def _place_of(cell: object) -> Job.Place:
    text = text_of(cell).lower()
    if text not in PLACES:
        hint = ": that is a trip of a part, so it goes on the parts list" if "without" in text else ""
        raise BadValue(f"“{text[:60]}”{hint}; write on the car, at the bench or away with the car")
    return PLACES[text]


def _people_of(cell: object) -> int:
    return whole_of(cell, least=0, most=20)


def _cautions_of(cell: object) -> list[str]:
    found = [word.lower() for word in words_of(cell)]
    for word in found:
        if word not in Job.Caution.values:
            near = nearest(word, Job.Caution.values)
            raise BadValue(f"there is no caution “{word[:60]}”.{near}".rstrip("."))
    return found


def _milestones_of(cell: object) -> list[str]:
    """The names as the car's sheet has them: ours with their own spelling, the workshop's as written."""
    ours = {label.replace("-", " "): label for label in OUR_MILESTONES}
    found = [ours.get(word.lower().replace("-", " "), word) for word in words_of(cell)]
    for name in found:
        if len(name) > 60:
            raise BadValue(f"“{name[:60]}…” is longer than 60 signs")
    return found

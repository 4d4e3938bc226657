"""Looking at an import, and doing it. Both go the whole way; the look takes everything back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.importing.columns import JOB_COLUMNS, PART_COLUMNS
from builds.importing.faults import Fault, FileRefused
from builds.importing.headings import Column, Table, headings_refused, table_find
from builds.importing.tables import Sheet, sheets_of
from builds.models import Car, Customer, Person
from builds.services.rings import Thing, ring_in_words, ring_through
from builds.services.start import car_start

from .jobs import JobList
from .known import Known
from .own_rows import OwnRows
from .parts import PartsList
from .plan import ImportPlan, ListFiles
from .reading import Reading
from .references import References
from .rules import rules_broken
from .save import plan_save

JOB_LIST, PARTS_LIST = "Job list", "Parts list"


@dataclass(frozen=True)
class NewCar:
    """A car that is to be started with the lists."""

    name: str
    description: str = ""
    customer: Customer | None = None


class _TakenBack(Exception):
    """Ends a look at an import, so that the transaction is rolled back."""


def import_preview(
    *, target: Car | NewCar, files: ListFiles, may_add_names: bool, by: Person, today: date
) -> ImportPlan:
    """What the files would add, and everything that is wrong with them. Nothing stays written.

    Raises FileRefused if a file cannot be read at all.
    """
    plan = ImportPlan()
    try:
        with transaction.atomic():
            _, plan = _imported(target, files, may_add_names, by, today)
            raise _TakenBack
    except _TakenBack:
        return plan


@transaction.atomic
def import_add(
    *, target: Car | NewCar, files: ListFiles, may_add_names: bool, by: Person, today: date
) -> tuple[Car, ImportPlan]:
    """Add what the files hold to the car, or start the car with it: all of it or nothing.

    Raises FileRefused if a file cannot be read, and ValidationError if anything in it is wrong. The files
    are read afresh: between the look and the act somebody may have changed the car.
    """
    car, plan = _imported(target, files, may_add_names, by, today)
    if plan.faults:
        raise ValidationError([str(fault) for fault in plan.faults])
    return car, plan


def _imported(
    target: Car | NewCar, files: ListFiles, may_add_names: bool, by: Person, today: date
) -> tuple[Car, ImportPlan]:
    car = target if isinstance(target, Car) else _started(target, by, today)
    plan = _plan(car, files, may_add_names, today)
    if plan.can_be_added:
        _save(plan, car, by, today)
    return car, plan


def _started(new: NewCar, by: Person, today: date) -> Car:
    return car_start(name=new.name, description=new.description, customer=new.customer, by=by, today=today)


def _plan(car: Car, files: ListFiles, may_add_names: bool, today: date) -> ImportPlan:
    known, plan = Known.read(car), ImportPlan()
    job_table, parts_table = _tables(files)
    job_reading, part_reading = Reading(JOB_LIST, job_table), Reading(PARTS_LIST, parts_table)
    jobs = JobList(job_reading, known, may_add_names=may_add_names)
    parts = PartsList(part_reading, known, today)
    own = OwnRows(car, [(job_table, job_reading), (parts_table, part_reading)])
    job_rows = jobs.read(own.of(job_table, job_reading))
    part_rows = parts.read(own.of(parts_table, part_reading))
    plan.notes.extend(own.notes)
    plan.jobs, plan.jobs_there = jobs.new, jobs.there
    plan.parts, plan.lines, plan.parts_there = parts.new, parts.lines, parts.there
    plan.new_areas = sorted({job.area_name for job in jobs.new if job.area_name.lower() not in known.areas})
    skills = {job.skill_name for job in jobs.new if job.skill_name}
    plan.new_skills = sorted(name for name in skills if name.lower() not in known.skills)
    references = References(plan, jobs, parts)
    references.read_jobs(job_rows, job_reading)
    references.read_parts(part_rows, part_reading)
    for table, reading in ((job_table, job_reading), (parts_table, part_reading)):
        if table is not None:
            plan.notes.extend(table.notes)
        plan.faults.extend(reading.faults)
    return plan


def _tables(files: ListFiles) -> tuple[Table | None, Table | None]:
    """The lists in the files; a workbook sent for one of them may hold the other on a further sheet."""
    job_sheets = sheets_of(files.job_list) if files.job_list is not None else []
    part_sheets = sheets_of(files.parts_list) if files.parts_list is not None else []
    jobs = table_find(job_sheets or part_sheets, JOB_COLUMNS)
    parts = table_find(part_sheets or job_sheets, PART_COLUMNS)
    if jobs is None and files.job_list is not None:
        raise _refused(JOB_LIST, job_sheets, JOB_COLUMNS)
    if parts is None and files.parts_list is not None:
        raise _refused(PARTS_LIST, part_sheets, PART_COLUMNS)
    return jobs, parts


def _refused(list_name: str, sheets: Sequence[Sheet], columns: Sequence[Column]) -> FileRefused:
    return FileRefused(f"{list_name}: {headings_refused(sheets, columns)}")


def _save(plan: ImportPlan, car: Car, by: Person, today: date) -> None:
    try:
        with transaction.atomic():
            jobs, lines = plan_save(plan, car=car, by=by, today=today)
            rows: dict[Thing, tuple[str, int]] = {
                **{("job", job.pk): (JOB_LIST, row) for row, job in jobs.items()},
                **{
                    ("line", line.pk): (PARTS_LIST, new.row)
                    for line, new in zip(lines, plan.lines, strict=True)
                },
            }
            ring = ring_through(list(rows))
            if ring:
                list_name, row = next(rows[thing] for thing in ring if thing in rows)
                text = f"these wait for one another in a ring: {ring_in_words(ring)}. Take one link out."
                plan.faults.append(Fault(row, "after", text, list_name))
                raise _TakenBack
            plan.notes.extend(rules_broken(lines, [new.row for new in plan.lines], PARTS_LIST))
    except _TakenBack:
        return
    except ValidationError as fault:
        plan.faults.append(Fault(plan.jobs[0].row, "milestone", " ".join(fault.messages), JOB_LIST))

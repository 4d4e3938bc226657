"""Starting a car: an empty one, or one from the build template."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date
from functools import cache
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction

from builds.models import Area, Car, Customer, Job, JobLink, Milestone, Need, Person, Skill
from builds.starting.template import (
    EQUIPMENT,
    BuildTemplate,
    TemplateLine,
    TemplatePart,
    TemplateRow,
    template_read,
)
from parts.models import Material, Operation, Part, Process, Supplier

PLACES = {
    "on car": Job.Place.ON_CAR,
    "bench": Job.Place.BENCH,
    "at supplier with the car": Job.Place.AWAY,
}
# The order in which a build goes through a car; areas the workshop adds come after these.
AREA_ORDER = (
    "shell",
    "engine",
    "transmission",
    "induction",
    "fuel",
    "oil",
    "cooling",
    "exhaust",
    "suspension",
    "brakes",
    "electrical",
    "trim",
    "commissioning",
)
# Which job of the template each milestone is reached after.
MILESTONES = (
    (Milestone.Kind.FIRST_START_UP, "engine_first_start"),
    (Milestone.Kind.FIRST_DRIVE, "road_short"),
    (Milestone.Kind.HANDOVER, "handover"),
)
# How each gate of the template reads as a line of a job's note; the others have fields of their own.
GATE_LINES = {
    "hold": "Hold point: {}.",
    "precheck": "Before {}.",
    "legal": "Check with the authority: {}.",
    "signoff": "Second signature: {}.",
}
PLAIN_SIGNATURE = "second competent person"


@transaction.atomic
def car_start(
    *, name: str, description: str = "", customer: Customer | None = None, by: Person, today: date
) -> Car:
    """Save a new car that is here from today, with nothing on its job list yet. Only a manager may.

    A customer that is not saved yet is saved with it.
    """
    if not by.is_manager:
        raise ValidationError("Only a manager starts a car.")
    if customer is not None and customer.pk is None:
        customer.full_clean()
        customer.save()
    car = Car(name=name.strip(), description=description.strip(), customer=customer, arrived_on=today)
    car.full_clean()
    car.save()
    return car


@transaction.atomic
def car_start_from_template(
    *,
    name: str,
    description: str,
    customer: Customer | None = None,
    by: Person,
    today: date,
    suppliers: Mapping[str, Supplier] | None = None,
) -> Car:
    """Save a new car with the whole job list, parts, route cards and milestones of the build template.

    `suppliers` says who does what, by the key of a part in the template ('fuel_tank') or of a process
    ('zinc_plate'); the part's goes first. A line that it does not name goes to the one supplier who
    offers the process; where there are several or none, the line has no supplier and the part's page asks
    for one.
    """
    car = car_start(name=name, description=description, customer=customer, by=by, today=today)
    template = build_template()
    jobs = _jobs_save(car, template)
    parts = _parts_save(car, template, jobs)
    operations = _operations_save(template, parts, jobs, suppliers or {})
    _needs_save(template, jobs, parts, operations)
    _milestones_save(car, jobs)
    return car


@cache
def build_template() -> BuildTemplate:
    """The template that came with the program."""
    return template_read(Path(settings.BASE_DIR) / "fixtures")


def areas_named(names: Iterable[str]) -> dict[str, Area]:
    """The areas of these names, made where they are not there yet; keyed by the name in small letters."""
    areas = {area.name.lower(): area for area in Area.objects.all()}
    for name in dict.fromkeys(names):
        if name.lower() not in areas:
            order = AREA_ORDER.index(name.lower()) if name.lower() in AREA_ORDER else len(AREA_ORDER)
            areas[name.lower()] = Area.objects.create(name=name, order=order)
    return areas


def skills_named(names: Iterable[str]) -> dict[str, Skill]:
    """The skills of these names, made where they are not there yet; keyed by the name in small letters."""
    skills = {skill.name.lower(): skill for skill in Skill.objects.all()}
    for name in dict.fromkeys(names):
        if name.lower() not in skills:
            skills[name.lower()] = Skill.objects.create(name=name)
    return skills


def _jobs_save(car: Car, template: BuildTemplate) -> dict[str, Job]:
    areas = areas_named(row.area for row in template.jobs)
    skills = skills_named(row.skill for row in template.jobs if row.skill)
    made = Job.objects.bulk_create(
        [
            Job(
                car=car,
                key=row.key.replace("_", "-"),
                title=row.title,
                area=areas[row.area],
                position=position,
                place=PLACES[row.place],
                hours_low=row.hours[0],
                hours_likely=row.hours[1],
                hours_high=row.hours[2],
                people=row.people,
                skill=skills.get(row.skill),
                needs_signature=bool(row.gate("signoff")),
                cautions=row.gate("safety"),
                note=_note(row, template),
            )
            for position, row in enumerate(template.jobs, start=1)
        ]
    )
    jobs = dict(zip((row.key for row in template.jobs), made, strict=True))
    JobLink.objects.bulk_create(
        JobLink(before=jobs[key], after=jobs[row.key])
        for row in template.jobs
        for key in row.after
        if key in jobs
    )
    return jobs


def _note(row: TemplateRow, template: BuildTemplate) -> str:
    lines = [
        GATE_LINES[kind].format(text)
        for kind, text in row.gates
        if kind in GATE_LINES and text != PLAIN_SIGNATURE
    ]
    to_hand = template.to_hand(row)
    if to_hand:
        lines.append(f"Have to hand: {', '.join(to_hand)}.")
    return "\n".join(lines)


def _parts_save(car: Car, template: BuildTemplate, jobs: Mapping[str, Job]) -> dict[str, Part]:
    materials = {material.key: material for material in Material.objects.all()}
    plain = [part for part in template.parts.values() if part.comes != EQUIPMENT]
    made = Part.objects.bulk_create(
        [
            Part(
                car=car,
                name=part.name,
                material=materials.get(part.material),
                quantity=part.quantity,
                mass_kg=part.mass_kg,
                length_mm=part.size_mm[0],
                width_mm=part.size_mm[1],
                height_mm=part.size_mm[2],
                area_m2=part.area_m2,
                features=list(part.features),
                colour_set=part.colour_set,
                made_by=jobs.get(_made_by(part)),
                note=_hold_points(part, template),
            )
            for part in plain
        ]
    )
    return dict(zip((part.key for part in plain), made, strict=True))


def _made_by(part: TemplatePart) -> str:
    """The job that gives a made part its drawing, pattern or blank: the first its first line waits for."""
    if part.made_by or part.comes != "made":
        return part.made_by
    return part.lines[0].after[0]


def _hold_points(part: TemplatePart, template: BuildTemplate) -> str:
    rows = [template.rows[line.row] for line in part.lines if line.row]
    return "\n".join(GATE_LINES["hold"].format(text) for row in rows for text in row.gate("hold"))


def _operations_save(
    template: BuildTemplate,
    parts: Mapping[str, Part],
    jobs: Mapping[str, Job],
    suppliers: Mapping[str, Supplier],
) -> dict[str, list[Operation]]:
    """The route card of each part, first line first."""
    processes = {process.key: process for process in Process.objects.all()}
    only_one = _only_suppliers()
    cards = {
        key: [
            Operation(
                part=part,
                sequence=sequence,
                process=processes[line.process],
                supplier=suppliers.get(key) or suppliers.get(line.process) or only_one.get(line.process),
                lead_low_days=line.lead_days[0],
                lead_likely_days=line.lead_days[1],
                lead_high_days=line.lead_days[2],
                colour=line.colour,
                coating_class=line.coating_class,
                specification=line.specification,
                masking=line.masking,
            )
            for sequence, line in enumerate(template.parts[key].lines, start=1)
        ]
        for key, part in parts.items()
    }
    Operation.objects.bulk_create(operation for card in cards.values() for operation in card)
    Operation.after_jobs.through.objects.bulk_create(
        Operation.after_jobs.through(operation=operation, job=jobs[key])
        for part_key, card in cards.items()
        for operation, line in zip(card, template.parts[part_key].lines, strict=True)
        for key in _after_jobs(template.parts[part_key], line)
    )
    return cards


def _after_jobs(part: TemplatePart, line: TemplateLine) -> list[str]:
    """The jobs that a line waits for, without the one that the whole part waits for."""
    return [key for key in dict.fromkeys(line.after) if line is not part.lines[0] or key != _made_by(part)]


def _only_suppliers() -> dict[str, Supplier]:
    """Who does each process, where just one supplier offers it."""
    offering: defaultdict[str, list[Supplier]] = defaultdict(list)
    for supplier in Supplier.objects.prefetch_related("processes"):
        for process in supplier.processes.all():
            offering[process.key].append(supplier)
    return {process: found[0] for process, found in offering.items() if len(found) == 1}


def _needs_save(
    template: BuildTemplate,
    jobs: Mapping[str, Job],
    parts: Mapping[str, Part],
    cards: Mapping[str, list[Operation]],
) -> None:
    """Each job needs its parts as far along their route cards as the template has them by then."""
    needs = []
    for row in template.jobs:
        for key in template.wanted_parts(row):
            part, card = template.parts[key], cards[key]
            had = template.lines_had(row, part)
            if part.lines and had == 0:
                continue  # it came with the car and is wanted as it is, before any finisher has it
            line = card[had - 1] if had < len(card) else None
            needs.append(Need(job=jobs[row.key], part=parts[key], operation=line))
    Need.objects.bulk_create(needs)


def _milestones_save(car: Car, jobs: Mapping[str, Job]) -> None:
    for kind, key in MILESTONES:
        milestone = Milestone.objects.create(car=car, kind=kind, name=kind.label)
        milestone.jobs.set([jobs[key]])

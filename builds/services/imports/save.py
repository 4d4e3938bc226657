"""Writing a plan to the database, in a handful of statements whatever its size."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from django.core.exceptions import ValidationError
from django.db.models import Max

from builds.models import Car, Job, JobLink, Milestone, Need, Person
from builds.services.start import areas_named, skills_named
from parts.models import Operation, Part, SupplierPromise

from .jobs import OUR_MILESTONES
from .plan import ImportPlan, NewJob, NewLine, NewPart


def plan_save(
    plan: ImportPlan, *, car: Car, by: Person, today: date
) -> tuple[Mapping[int, Job], list[Operation]]:
    """Add everything in the plan to the car. Gives the new jobs by their row, and the new lines."""
    jobs = _jobs(plan, car)
    parts = _parts(plan, car, jobs)
    lines = _lines(plan, parts, jobs, by, today)
    Need.objects.bulk_create(
        Need(
            job=jobs.get(need.job, need.job),
            part=parts.get(need.part, need.part),
            operation=lines.get(need.line, need.line),
        )
        for need in plan.needs
    )
    _milestones(plan, car, jobs)
    return {new.row: job for new, job in jobs.items()}, list(lines.values())


def _jobs(plan: ImportPlan, car: Car) -> dict[NewJob, Job]:
    areas = areas_named(job.area_name for job in plan.jobs)
    skills = skills_named(job.skill_name for job in plan.jobs if job.skill_name)
    last = Job.objects.filter(car=car).aggregate(last=Max("position"))["last"] or 0
    made = Job.objects.bulk_create(
        [
            Job(
                car=car,
                area=areas[new.area_name.lower()],
                title=new.title,
                key=new.key,
                position=position,
                place=new.place,
                hours_low=new.hours[0],
                hours_likely=new.hours[1],
                hours_high=new.hours[2],
                people=new.people,
                skill=skills.get(new.skill_name.lower()),
                supplier=new.supplier,
                needs_signature=new.needs_signature,
                cautions=list(new.cautions),
                note=new.note,
            )
            for position, new in enumerate(plan.jobs, start=last + 1)
        ]
    )
    jobs = dict(zip(plan.jobs, made, strict=True))
    JobLink.objects.bulk_create(
        JobLink(before=jobs.get(link.before, link.before), after=jobs[link.after], lag_hours=link.lag_hours)
        for link in plan.links
    )
    return jobs


def _parts(plan: ImportPlan, car: Car, jobs: Mapping[NewJob, Job]) -> dict[NewPart, Part]:
    makers = {part: jobs.get(job, job) for part, job in plan.made_by}
    made = Part.objects.bulk_create(
        [
            Part(
                car=car,
                name=new.name,
                drawing_number=new.drawing_number,
                material=new.material,
                quantity=new.quantity,
                mass_kg=new.mass_kg,
                length_mm=new.size_mm[0],
                width_mm=new.size_mm[1],
                height_mm=new.size_mm[2],
                area_m2=new.area_m2,
                features=list(new.features),
                colour_set=new.colour_set,
                made_by=makers.get(new),
                note=new.note,
            )
            for new in plan.parts
        ]
    )
    return dict(zip(plan.parts, made, strict=True))


def _lines(
    plan: ImportPlan,
    parts: Mapping[NewPart, Part],
    jobs: Mapping[NewJob, Job],
    by: Person,
    today: date,
) -> dict[NewLine, Operation]:
    made = Operation.objects.bulk_create(
        [
            Operation(
                part=parts.get(new.part, new.part),
                sequence=new.sequence,
                process=new.process,
                supplier=new.supplier,
                lead_low_days=new.lead_days[0],
                lead_likely_days=new.lead_days[1],
                lead_high_days=new.lead_days[2],
                colour=new.colour,
                coating_class=new.coating_class,
                specification=new.specification,
                masking=new.masking,
                sent_on=new.sent_on,
                promised_on=new.promised_on,
            )
            for new in plan.lines
        ]
    )
    lines = dict(zip(plan.lines, made, strict=True))
    SupplierPromise.objects.bulk_create(
        SupplierPromise(
            operation=line, promised_on=line.promised_on, made_on=today, by=by, note="from a parts list"
        )
        for line in made
        if line.promised_on is not None
    )
    Operation.after_jobs.through.objects.bulk_create(
        Operation.after_jobs.through(operation=lines[line], job=jobs.get(job, job))
        for line, job in plan.line_after
    )
    return lines


def _milestones(plan: ImportPlan, car: Car, jobs: Mapping[NewJob, Job]) -> None:
    there = {milestone.name.lower(): milestone for milestone in car.milestones.all()}
    for new, job in jobs.items():
        for name in new.milestones:
            milestone = there.get(name.lower())
            if milestone is None:
                milestone = Milestone(car=car, name=name, kind=OUR_MILESTONES.get(name, Milestone.Kind.OWN))
                try:
                    milestone.full_clean()
                except ValidationError as fault:
                    raise ValidationError(f"Milestone “{name}”: {' '.join(fault.messages)}") from fault
                milestone.save()
                there[name.lower()] = milestone
            milestone.jobs.add(job)

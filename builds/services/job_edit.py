"""Writing a line of the job list: a new job, or another wording of one that is there."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from builds.models import Area, Bay, Car, Job, JobLink, Need, Skill
from builds.services.rings import ring_refuse
from parts.models import Operation, Part, Supplier

PLAIN_FIELDS = (
    "area",
    "title",
    "place",
    "hours_low",
    "hours_likely",
    "hours_high",
    "people",
    "skill",
    "bay",
    "supplier",
    "needs_signature",
    "cautions",
    "note",
    "key",
)


@dataclass(frozen=True)
class JobWording:
    """What is written on a line of the job list."""

    area: Area
    title: str
    hours_low: Decimal
    hours_likely: Decimal
    hours_high: Decimal
    place: str = Job.Place.ON_CAR
    people: int = 1
    skill: Skill | None = None
    bay: Bay | None = None
    supplier: Supplier | None = None
    needs_signature: bool = False
    cautions: tuple[str, ...] = ()
    note: str = ""
    key: str = ""
    after: Mapping[Job, Decimal] = field(default_factory=dict)  # job before it -> hours to wait in between
    needs: Mapping[Part, Operation | None] = field(default_factory=dict)  # None: the whole route card


class ChangedMeanwhile(ValidationError):
    """Somebody else saved the job between the reading and the writing; `now` is the job as it stands."""

    def __init__(self, now: Job) -> None:
        self.now = now
        super().__init__(
            f"“{now}” was changed by somebody else meanwhile. Nothing of yours was saved: "
            "look at what stands there now, and save again if yours should replace it."
        )


@transaction.atomic
def job_save(*, car: Car, wording: JobWording, job: Job | None = None, version: int | None = None) -> Job:
    """Save a new job (`job` is None), or another wording of one that was read at `version`.

    Raises ChangedMeanwhile if it was saved by somebody else since then, and ValidationError for values
    that the job list does not allow, links to another car's jobs or parts, and rings.
    """
    if job is None:
        row = Job(car=car, position=_next_position(car, wording.area))
    else:
        row = Job.objects.select_for_update(of=("self",)).select_related("car").get(pk=job.pk)
        if row.version != version:
            raise ChangedMeanwhile(row)
        row.version += 1
    for name in PLAIN_FIELDS:
        setattr(row, name, getattr(wording, name))
    row.title = " ".join(row.title.split())
    row.cautions = list(wording.cautions)
    _check(row, wording)
    row.save(update_fields=None if job is None else [*PLAIN_FIELDS, "version"])  # ticks made meanwhile stay
    _links_save(row, wording.after)
    _needs_save(row, wording.needs)
    return row


def _next_position(car: Car, area: Area) -> int:
    highest = Job.objects.filter(car=car, area=area).aggregate(highest=Max("position"))["highest"]
    return (highest or 0) + 1


def _check(row: Job, wording: JobWording) -> None:
    wrong: dict[str, list[str]] = {}
    try:
        row.full_clean(exclude=["started_by", "done_by", "signed_off_by"])
    except ValidationError as error:
        wrong = {name: list(messages) for name, messages in error.message_dict.items()}
    unknown = [caution for caution in wording.cautions if caution not in Job.Caution.values]
    if unknown:
        wrong.setdefault("cautions", []).append(f"There is no caution “{unknown[0]}”.")
    if row.place == Job.Place.AWAY and row.supplier is None:
        wrong.setdefault("supplier", []).append("Say which supplier the car goes to for this job.")
    strangers = [before for before in wording.after if before.car_id != row.car_id]
    if strangers:
        wrong.setdefault("after", []).append(f"“{strangers[0]}” is a job of another car.")
    if row.pk is not None and any(before.pk == row.pk for before in wording.after):
        wrong.setdefault("after", []).append("A job cannot come after itself.")
    for part, operation in wording.needs.items():
        if part.car_id != row.car_id:
            wrong.setdefault("needs", []).append(f"“{part}” is a part of another car.")
        elif operation is not None and operation.part_id != part.pk:
            wrong.setdefault("needs", []).append(f"“{operation}” is not on the route card of “{part}”.")
    if wrong:
        raise ValidationError(wrong)
    if row.pk is not None:  # nothing can wait for a job that is not there yet
        ring_refuse(row, wording.after, wording.needs)


def skill_missing(job: Job) -> str:
    """What to say of a job whose skill nobody has; empty where somebody does."""
    if job.skill is None or job.place == Job.Place.AWAY:
        return ""
    if job.skill.people.filter(is_active=True).exists():
        return ""
    return (
        f"Nobody who works here has the skill {job.skill}: the job is planned as if somebody were free for "
        "it. Give the skill to somebody under People, or take it off the job."
    )


def _links_save(row: Job, after: Mapping[Job, Decimal]) -> None:
    wanted = {before.pk: lag for before, lag in after.items()}
    row.links_in.exclude(before__in=wanted).delete()
    for before_id, lag_hours in wanted.items():
        link, _ = JobLink.objects.get_or_create(before_id=before_id, after=row)
        link.lag_hours = lag_hours
        link.clean_fields()
        link.save(update_fields=["lag_hours"])


def _needs_save(row: Job, needs: Mapping[Part, Operation | None]) -> None:
    wanted = {part.pk: operation for part, operation in needs.items()}
    row.part_needs.exclude(part__in=wanted).delete()
    for part_id, operation in wanted.items():
        Need.objects.update_or_create(job=row, part_id=part_id, defaults={"operation": operation})

"""What the workshop and the car have already, by the names that people write in a list."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any, TypeVar

from builds.models import Area, Car, Job, Milestone, Skill
from parts.models import Material, Operation, Part, Process, Supplier

Row = TypeVar("Row")


@dataclass(frozen=True)
class Known:
    """Every mapping is keyed by the name in small letters."""

    areas: Mapping[str, Area]
    skills: Mapping[str, Skill]
    suppliers: Mapping[str, Supplier]
    processes: Mapping[str, Process]
    materials: Mapping[str, Material]
    jobs: list[Job] = field(default_factory=list)
    parts: Mapping[str, Part] = field(default_factory=dict)
    lines: Mapping[int, Mapping[int, Operation]] = field(default_factory=dict)  # part -> line number -> line
    milestones: Mapping[str, Milestone] = field(default_factory=dict)
    needs: frozenset[tuple[int, int]] = frozenset()  # (job, part)

    @classmethod
    def read(cls, car: Car | None) -> Known:
        """What there is; without a car, what every car may use."""
        workshop: dict[str, Any] = {
            "areas": _by_name(Area.objects.all()),
            "skills": _by_name(Skill.objects.all()),
            "suppliers": _by_name(Supplier.objects.all()),
            "processes": _by_name_or_key(Process.objects.all()),
            "materials": _by_name_or_key(Material.objects.all()),
        }
        if car is None:
            return cls(**workshop)
        lines: dict[int, dict[int, Operation]] = defaultdict(dict)
        for line in Operation.objects.filter(part__car=car).select_related("process"):
            lines[line.part_id][line.sequence] = line
        return cls(
            **workshop,
            jobs=list(Job.objects.filter(car=car).select_related("area")),
            parts=_by_name(Part.objects.filter(car=car)),
            lines=lines,
            milestones=_by_name(car.milestones.all()),
            needs=frozenset(Job.needs.through.objects.filter(job__car=car).values_list("job_id", "part_id")),
        )


def nearest(name: str, names: Iterable[str]) -> str:
    """“ The nearest is …”, or nothing where nothing is near."""
    spelled = {known.lower(): known for known in names}
    plain = name.lower()
    near = get_close_matches(plain, spelled, n=1, cutoff=0.5) or [key for key in spelled if plain in key][:1]
    return f" The nearest is “{spelled[near[0]]}”." if near else ""


def _by_name(rows: Iterable[Any]) -> dict[str, Any]:
    return {row.name.lower(): row for row in rows}


def _by_name_or_key(rows: Iterable[Any]) -> dict[str, Any]:
    found = list(rows)
    return {**{row.key.lower(): row for row in found}, **_by_name(found)}

"""The build template: reading its three files into plain values.

`build_template.csv` holds the job list of a whole build, in working order. A row 'at supplier without'
(the car) is no job: it is a line on the route card of each part that `template_parts.csv` names for it.
`lead_times.csv` gives the working days of what is bought in. Hours are a workshop's own estimates,
lead times common practice, sizes and surfaces of parts estimates: no source for any of them.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from pathlib import Path

AT_SUPPLIER = "at supplier without"
WITH_CAR = "with the car"
EQUIPMENT = "equipment"
HOURS_OF_A_SUPPLIER_DAY = 8


class TemplateFault(ValueError):
    """The template's files do not fit together; the message names the row."""


@dataclass(frozen=True)
class TemplateRow:
    """One row of the build template: a job, or what a supplier does to parts that go there."""

    key: str
    title: str
    area: str
    place: str
    hours: tuple[Decimal, Decimal, Decimal]  # low, likely, high
    people: int
    skill: str
    after: tuple[str, ...]
    needs: tuple[str, ...]
    gates: tuple[tuple[str, str], ...]  # ('safety', 'hot work'), ('hold', 'colour approved') …

    @property
    def is_job(self) -> bool:
        return self.place != AT_SUPPLIER

    @property
    def lead_days(self) -> tuple[int, int, int]:
        """Low, likely and high in the supplier's working days."""
        low, likely, high = (int(hours / HOURS_OF_A_SUPPLIER_DAY) for hours in self.hours)
        return low, likely, high

    def gate(self, kind: str) -> list[str]:
        return [text for gate_kind, text in self.gates if gate_kind == kind]


@dataclass(frozen=True)
class TemplateLine:
    """One line of a part's route card; `row` is empty where it is simply bought in."""

    process: str
    row: str
    lead_days: tuple[int, int, int]
    after: tuple[str, ...]  # jobs that must be done first, beside the line above
    colour: str
    coating_class: str
    specification: str
    masking: str


@dataclass(frozen=True)
class TemplatePart:
    key: str
    name: str
    comes: str  # 'made', 'bought', 'with the car', 'equipment' (the workshop's own: no part of the car)
    made_by: str
    material: str
    quantity: int
    mass_kg: Decimal | None
    size_mm: tuple[int | None, int | None, int | None]
    area_m2: Decimal | None
    features: tuple[str, ...]
    colour_set: str
    lines: tuple[TemplateLine, ...]


@dataclass(frozen=True)
class BuildTemplate:
    rows: Mapping[str, TemplateRow]
    parts: Mapping[str, TemplatePart]

    @property
    def jobs(self) -> list[TemplateRow]:
        return [row for row in self.rows.values() if row.is_job]

    @cached_property
    def yields(self) -> Mapping[str, tuple[str, ...]]:
        """The parts that each supplier row works on."""
        found: dict[str, list[str]] = {}
        for part in self.parts.values():
            for line in part.lines:
                if line.row:
                    found.setdefault(line.row, []).append(part.key)
        return {row: tuple(parts) for row, parts in found.items()}

    @cached_property
    def before(self) -> Mapping[str, frozenset[str]]:
        """Every row that comes before each row, directly or by way of others."""
        found: dict[str, frozenset[str]] = {}
        for key in _in_order(self.rows):
            direct = self.rows[key].after
            found[key] = frozenset(direct).union(*(found[other] for other in direct))
        return found

    def wanted_parts(self, job: TemplateRow) -> list[str]:
        """The parts a job names, and those of a supplier row it comes after if it names none of them."""
        wanted = [key for key in job.needs if self.parts[key].comes != EQUIPMENT]
        for row in (self.rows[key] for key in job.after):
            made = () if row.is_job else self.yields[row.key]
            if not any(key in wanted for key in made):
                wanted.extend(made)
        return list(dict.fromkeys(wanted))

    def lines_had(self, job: TemplateRow, part: TemplatePart) -> int:
        """How many lines of the part's route card must be done before the job."""
        done = 0
        for line in part.lines:
            if line.row and line.row not in self.before[job.key]:
                break
            done += 1
        return done

    def to_hand(self, job: TemplateRow) -> list[str]:
        """What the workshop or the car already has and the job wants lying ready."""
        wanted = (self.parts[key] for key in job.needs)
        return [
            part.name
            for part in wanted
            if part.comes == EQUIPMENT or (part.lines and self.lines_had(job, part) == 0)
        ]


def template_read(folder: Path) -> BuildTemplate:
    """Read the template. Raises TemplateFault if a row names something that is not there."""
    rows = {row["key"]: _row(row) for row in _records(folder / "build_template.csv")}
    lead_times = {row["key"]: _days(row) for row in _records(folder / "lead_times.csv")}
    parts = _parts(_records(folder / "template_parts.csv"), rows, lead_times)
    template = BuildTemplate(rows, parts)
    _check(template)
    return template


def _records(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _words(cell: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in cell.split(";") if word.strip())


def _row(record: Mapping[str, str]) -> TemplateRow:
    gates = [gate.partition(":") for gate in _words(record["gate"])]
    return TemplateRow(
        key=record["key"],
        title=record["title"],
        area=record["area"],
        place=record["place"],
        hours=(
            Decimal(record["hours_low"]),
            Decimal(record["hours_likely"]),
            Decimal(record["hours_high"]),
        ),
        people=int(record["people"]),
        skill=record["skill"],
        after=_words(record["after"]),
        needs=_words(record["needs_parts"]),
        gates=tuple((kind, text) for kind, _, text in gates),
    )


def _days(record: Mapping[str, str]) -> tuple[int, int, int]:
    return (
        int(record["days_optimistic"]),
        int(record["days_likely"]),
        int(record["days_pessimistic"]),
    )


def _parts(
    records: Iterable[Mapping[str, str]],
    rows: Mapping[str, TemplateRow],
    lead_times: Mapping[str, tuple[int, int, int]],
) -> dict[str, TemplatePart]:
    """A part's first record says what it is; each record with a process is a line of its route card."""
    grouped: dict[str, list[Mapping[str, str]]] = {}
    for record in records:
        grouped.setdefault(record["part"], []).append(record)
    return {key: _part(group, rows, lead_times) for key, group in grouped.items()}


def _part(
    records: list[Mapping[str, str]],
    rows: Mapping[str, TemplateRow],
    lead_times: Mapping[str, tuple[int, int, int]],
) -> TemplatePart:
    head = records[0]
    length, width, height = (
        int(head[column]) if head[column] else None for column in ("length_mm", "width_mm", "height_mm")
    )
    return TemplatePart(
        key=head["part"],
        name=head["name"],
        comes=head["comes"],
        made_by=head["made_by"],
        material=head["material"],
        quantity=int(head["quantity"] or 1),
        mass_kg=Decimal(head["mass_kg"]) if head["mass_kg"] else None,
        size_mm=(length, width, height),
        area_m2=Decimal(head["area_m2"]) if head["area_m2"] else None,
        features=_words(head["features"]),
        colour_set=head["colour_set"],
        lines=tuple(_line(record, rows, lead_times) for record in records if record["process"]),
    )


def _line(
    record: Mapping[str, str],
    rows: Mapping[str, TemplateRow],
    lead_times: Mapping[str, tuple[int, int, int]],
) -> TemplateLine:
    row, lead = record["row"], record["lead"]
    if row not in rows and lead not in lead_times:
        raise TemplateFault(f"{record['part']}: there is neither a row “{row}” nor a lead time “{lead}”.")
    return TemplateLine(
        process=record["process"],
        row=row,
        lead_days=rows[row].lead_days if row else lead_times[lead],
        after=(*(rows[row].after if row else ()), *_words(record["also_after"])),
        colour=record["colour"],
        coating_class=record["coating_class"],
        specification=record["specification"],
        masking=record["masking"],
    )


def _check(template: BuildTemplate) -> None:
    rows, parts = template.rows, template.parts
    for row in rows.values():
        for key in row.needs:
            if key not in parts:
                raise TemplateFault(f"{row.key} needs “{key}”, which is no part of the template.")
        if not row.is_job and row.key not in template.yields:
            raise TemplateFault(f"{row.key} is at a supplier, but no part goes there.")
    for part in parts.values():
        for line in part.lines:
            for key in line.after:
                if key not in rows or not rows[key].is_job:
                    raise TemplateFault(f"{part.key} waits for “{key}”, which is no job of the template.")


def _in_order(rows: Mapping[str, TemplateRow]) -> list[str]:
    """The keys so that each comes after all that it waits for. Raises TemplateFault on a ring."""
    waiting = {key: set(row.after) for key, row in rows.items()}
    order: list[str] = []
    while waiting:
        free = [key for key, others in waiting.items() if not others]
        if not free:
            raise TemplateFault(f"These wait for one another, or for a row not there: {', '.join(waiting)}.")
        order.extend(free)
        for key in free:
            del waiting[key]
        for others in waiting.values():
            others.difference_update(free)
    return order

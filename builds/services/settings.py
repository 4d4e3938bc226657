"""The workshop's own settings: when it works, its areas and its skills."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, TypeVar

import holidays
from django.core.exceptions import ValidationError
from django.db import transaction
from holidays.registry import COUNTRIES

from builds.models import Area, Bay, Closure, Skill, Workshop

from .people import refuse_taken_name, span_in_words

Named = TypeVar("Named", Area, Skill)
LONGEST_REGION = 10  # letters that the column holds


@dataclass(frozen=True)
class Region:
    code: str
    name: str  # '' where the list of regions gives none


@dataclass(frozen=True)
class PublicHoliday:
    day: date
    name: str


def countries() -> list[tuple[str, str]]:
    """(ISO 3166 letters, name) of every country whose public holidays we know, by name."""
    named = [(codes[1], module.replace("_", " ").title()) for module, codes in COUNTRIES.items()]
    return sorted(named, key=lambda country: country[1])


def regions(country: str) -> list[Region]:
    """The regions with holidays of their own; none for an unknown country."""
    codes = holidays.list_supported_countries(include_aliases=False).get(country, [])
    names = getattr(holidays, country).get_subdivision_aliases() if codes else {}
    return [Region(code, (names.get(code) or [""])[0]) for code in codes if len(code) <= LONGEST_REGION]


def public_holidays(country: str, region: str, *, years: tuple[int, ...]) -> list[PublicHoliday]:
    """In order of date. Raises ValidationError for an unknown country or region, naming the choices."""
    country_check(country, region)
    found = holidays.country_holidays(country, subdiv=region or None, years=years)
    return [PublicHoliday(day, name) for day, name in sorted(found.items())]


def country_check(country: str, region: str) -> None:
    """Raises ValidationError naming the choices."""
    known = {code for code, _ in countries()}
    if country not in known:
        raise ValidationError(
            {"country": f"“{country}” is not a country we know. Choose one of: {', '.join(sorted(known))}."}
        )
    choices = [choice.code for choice in regions(country)]
    if region and not choices:
        raise ValidationError({"region": f"{country} has no regions here: leave this empty."})
    if region and region not in choices:
        raise ValidationError(
            {"region": f"“{region}” is not a region of {country}. Choose one of: {', '.join(choices)}."}
        )


@transaction.atomic
def workshop_update(*, version: int, changes: Mapping[str, Any]) -> Workshop:
    """Save the settings by field name. Raises ValidationError and changes nothing."""
    Workshop.objects.get_or_create(pk=1)
    workshop = Workshop.objects.select_for_update().get(pk=1)
    if workshop.version != version:
        raise ValidationError(
            "The settings were changed by somebody else meanwhile. Open the page afresh and change it there."
        )
    for name, value in changes.items():
        setattr(workshop, name, value)
    country_check(workshop.country, workshop.region)
    _check_day_ends(workshop)
    workshop.version += 1
    workshop.full_clean()
    workshop.save()
    return workshop


@transaction.atomic
def closure_create(*, first_day: date, last_day: date, reason: str) -> Closure:
    """Shut the workshop, first and last day included. Raises ValidationError if it is shut then already."""
    Workshop.objects.get_or_create(pk=1)
    Workshop.objects.select_for_update().get(pk=1)  # of two people adding the same days, the second is told
    closure = Closure(first_day=first_day, last_day=last_day, reason=reason)
    closure.full_clean()
    other = Closure.objects.filter(first_day__lte=last_day, last_day__gte=first_day).first()
    if other is not None:
        raise ValidationError(
            f"The workshop is shut from {span_in_words(other)} already. "
            "Remove that first, or choose days outside it."
        )
    closure.save()
    return closure


def closure_delete(*, closure: Closure) -> None:
    closure.delete()


@transaction.atomic
def area_create(*, name: str) -> Area:
    """Add an area at the end of the list."""
    last = Area.objects.order_by("order").last()
    area = Area(name=_tidy(name), order=0 if last is None else last.order + 1)
    _save_named(area, "an area")
    return area


@transaction.atomic
def area_move(*, area_id: int, up: bool) -> None:
    """Change places with the neighbour; at the end of the list nothing happens."""
    areas = list(Area.objects.select_for_update().order_by("order", "name"))
    here = areas.index(Area.objects.get(pk=area_id))
    there = here - 1 if up else here + 1
    if 0 <= there < len(areas):
        areas[here], areas[there] = areas[there], areas[here]
    for order, area in enumerate(areas):
        area.order = order
    Area.objects.bulk_update(areas, ["order"])


@transaction.atomic
def area_delete(*, area_id: int) -> None:
    """Raises ValidationError while a job is in it."""
    area = Area.objects.select_for_update().get(pk=area_id)
    if jobs := area.jobs.count():
        raise ValidationError(f"“{area}” has {_count(jobs, 'job', 'jobs')}, so it stays. Rename it instead.")
    area.delete()


@transaction.atomic
def skill_create(*, name: str) -> Skill:
    skill = Skill(name=_tidy(name))
    _save_named(skill, "a skill")
    return skill


@transaction.atomic
def skill_delete(*, skill_id: int) -> None:
    """Raises ValidationError while a job asks for it or somebody has it."""
    skill = Skill.objects.select_for_update().get(pk=skill_id)
    jobs, people = skill.jobs.count(), skill.people.count()
    if jobs or people:
        raise ValidationError(
            f"{_count(jobs, 'job', 'jobs')} and {_count(people, 'person', 'people')} have “{skill}”, "
            "so it stays. Rename it instead."
        )
    skill.delete()


@transaction.atomic
def area_rename(*, area_id: int, was: str, name: str) -> Area:
    """`was` is the name that the person saw: if it is another by now, they are told."""
    return _rename(Area.objects.select_for_update().get(pk=area_id), was, name, "an area")


@transaction.atomic
def skill_rename(*, skill_id: int, was: str, name: str) -> Skill:
    """`was` is the name that the person saw: if it is another by now, they are told."""
    return _rename(Skill.objects.select_for_update().get(pk=skill_id), was, name, "a skill")


@transaction.atomic
def bay_create(*, name: str, places: int) -> Bay:
    """Enter a lift, a bay or a booth, and how many there are."""
    bay = Bay(name=_tidy(name), places=places)
    _save_named(bay, "a lift or bay")
    return bay


@transaction.atomic
def bay_change(*, bay_id: int, version: int, name: str, places: int) -> Bay:
    """Another name or number. Raises ValidationError if somebody changed it after `version` was read."""
    bay = Bay.objects.select_for_update().get(pk=bay_id)
    if bay.version != version:
        raise ValidationError(
            f"“{bay}” was changed by somebody else meanwhile: there are {bay.places} now. "
            "Nothing was changed."
        )
    bay.name, bay.places = _tidy(name), places
    bay.version += 1
    _save_named(bay, "a lift or bay")
    return bay


@transaction.atomic
def bay_delete(*, bay_id: int) -> None:
    """Raises ValidationError while a job needs it."""
    bay = Bay.objects.select_for_update().get(pk=bay_id)
    if jobs := bay.jobs.count():
        needs = "needs" if jobs == 1 else "need"
        raise ValidationError(
            f"{_count(jobs, 'job', 'jobs')} {needs} “{bay}”, so it stays. Take it out of them first."
        )
    bay.delete()


def _rename(row: Named, was: str, name: str, thing: str) -> Named:
    if row.name != was:
        raise ValidationError(
            f"Somebody else has renamed “{was}” to “{row.name}” meanwhile. Nothing was changed."
        )
    row.name = _tidy(name)
    _save_named(row, thing)
    return row


def _save_named(row: Area | Bay | Skill, thing: str) -> None:
    refuse_taken_name(type(row).objects.exclude(pk=row.pk), row.name, thing)
    row.full_clean()
    row.save()


def _check_day_ends(workshop: Workshop) -> None:
    longest = max(workshop.hours_by_weekday)
    starts = datetime.combine(date.min, workshop.day_starts)
    if starts + timedelta(hours=float(longest)) > datetime.combine(date.min, time.min) + timedelta(days=1):
        raise ValidationError(
            {"day_starts": f"{longest} hours from {workshop.day_starts:%H:%M} run past midnight."}
        )


def _tidy(name: str) -> str:
    return " ".join(name.split())


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"

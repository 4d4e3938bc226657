"""Sheets of tanks and looms that other sheets of the same car may take their figures from."""

from typing import Any

from django.apps import apps
from django.db.models import QuerySet

TANK_KINDS = ("profile", "drum", "mesh")  # those that say where in the tank its liquid is
LOOM_KINDS = ("loom",)


def kept_tank(sheet: Any) -> dict[str, Any]:
    """Which revision a sheet is, as another one stores it among its inputs."""
    return {"sheet": sheet.pk, "title": sheet.title, "revision": sheet.revision}


def looms_of_car(job: Any, used: dict[str, Any] | None) -> list[dict[str, Any]]:
    """As `tanks_of_car`, of its looms."""
    return tanks_of_car(job, used, LOOM_KINDS)


def tanks_of_car(
    job: Any, used: dict[str, Any] | None, kinds: tuple[str, ...] = TANK_KINDS
) -> list[dict[str, Any]]:
    """The newest revision of each tank of the car, and the one that is used already were it an older one."""
    newest: dict[tuple[int, str, str], Any] = {}
    for sheet in _sheets(kinds).filter(job__car_id=job.car_id).order_by("title", "revision"):
        newest[(sheet.job_id, sheet.kind, sheet.title)] = sheet
    found = [kept_tank(sheet) for sheet in newest.values()]
    if (
        used
        and used not in found
        and _sheets(kinds).filter(pk=used["sheet"], job__car_id=job.car_id).exists()
    ):
        found.append(used)
    return found


def tank_sheet(kept: dict[str, Any]) -> Any | None:
    """The kept sheet itself, with inputs and results; None if it is there no more."""
    return apps.get_model("engineering", "CalcSheet").objects.filter(pk=kept["sheet"]).first()


def overtaken(inputs: dict[str, Any]) -> list[tuple[dict[str, Any], Any]]:
    """Which kept sheets the inputs name that have a newer revision, each with that one."""
    found = []
    for used in inputs.values():
        if not (isinstance(used, dict) and "sheet" in used):
            continue
        sheet = tank_sheet(used)
        if sheet is None:
            continue
        newest = type(sheet).objects.of(sheet.job_id, sheet.kind, sheet.title).newest_first().first()
        if newest is not None and newest.revision > used["revision"]:
            found.append((used, newest))
    return found


def _sheets(kinds: tuple[str, ...]) -> QuerySet[Any]:
    rows = apps.get_model("engineering", "CalcSheet").objects.filter(kind__in=kinds)
    return rows.only("job_id", "kind", "title", "revision")

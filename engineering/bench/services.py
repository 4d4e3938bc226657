"""Writes at the bench. Each locks the loom's row first, so that two tablets wait for each other."""

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from engineering.loom.bench import Step, WireChange, bench_changes
from engineering.loom.cutting import CutRow
from engineering.models import Bench, BenchChange, BenchReading, BenchTaking, BenchTick, CalcSheet

STALE = "stale"


def cut_rows(sheet: CalcSheet) -> dict[str, CutRow]:
    """The cut list that a revision was kept with, by label, in the order of laying."""
    rows = (CutRow(**{**row, "route": tuple(row["route"])}) for row in sheet.results["cut"])
    return {row.label: row for row in rows}


def bench_take(*, sheet: CalcSheet, by: Any, at: datetime) -> Bench:
    """Cut from this revision from now on.

    Ticks of wires that are as they were stay; what no longer holds is taken back and named.
    Raises ValidationError if the sheet is no loom, is not to be built, or is not newer than what is there.
    """
    try:
        with transaction.atomic():
            return _take(sheet, by, at)
    except IntegrityError as error:  # another tablet took it between our look and our write
        raise ValidationError("Somebody took this loom to the bench at the same moment. Reload.") from error


def _take(sheet: CalcSheet, by: Any, at: datetime) -> Bench:
    _check_buildable(sheet)
    bench = Bench.objects.select_for_update().of_sheet(sheet).select_related("sheet").first()
    if bench is None:
        bench = Bench(job=sheet.job, title=sheet.title, sheet=sheet, taken_by=by, taken_at=at)
        bench.full_clean(exclude=["job", "taken_by"], validate_constraints=False)
        bench.save()
    else:
        _check_newer(bench, sheet)
        for change in bench_changes(cut_rows(bench.sheet).values(), cut_rows(sheet).values()):
            _apply(bench, sheet, change, by, at)
        bench.sheet, bench.taken_by, bench.taken_at = sheet, by, at
        bench.save(update_fields=["sheet", "taken_by", "taken_at"])
    BenchTaking.objects.create(bench=bench, sheet=sheet, by=by, at=at)
    return bench


def _check_buildable(sheet: CalcSheet) -> None:
    if sheet.kind != "loom":
        raise ValidationError("Only a wire list is cut at the bench.")
    faults = sheet.results["faults"]
    if faults:
        raise ValidationError(
            f"Revision {sheet.revision} has {len(faults)} fault{'s' if len(faults) > 1 else ''} to put right "
            f"before anything is cut: {faults[0]['message']}"
        )
    if not sheet.results["cut"]:
        raise ValidationError(f"Revision {sheet.revision} has no wire to cut.")


def _check_newer(bench: Bench, sheet: CalcSheet) -> None:
    if bench.sheet_id == sheet.pk:
        raise ValidationError(f"Revision {sheet.revision} is at the bench already.")
    if sheet.revision < bench.sheet.revision:
        raise ValidationError(
            f"Revision {bench.sheet.revision} is at the bench, and this is revision {sheet.revision}: an "
            "older one is not taken. Keep it again as a new revision if it is the right one."
        )


def _apply(bench: Bench, sheet: CalcSheet, change: WireChange, by: Any, at: datetime) -> None:
    void = BenchTick.objects.filter(bench=bench, label=change.label, step__in=change.voids)
    had = set(void.values_list("step", flat=True))
    void.delete()
    if change.kind == "gone" and not had:
        return  # never touched: nobody has to pull anything out
    BenchChange.objects.create(
        bench=bench,
        sheet=sheet,
        label=change.label,
        kind=change.kind,
        words="; ".join(str(each) for each in change.differences)[:600],
        lost=", ".join(step for step in Step if step in had),
        **_nothing_to_see_to(change, had, by, at),
    )


def _nothing_to_see_to(change: WireChange, had: set[str], by: Any, at: datetime) -> dict[str, Any]:
    """A wire that nobody had begun changes on paper only."""
    return {"seen_by": by, "seen_at": at} if change.kind == "changed" and not had else {}


@transaction.atomic
def bench_tick(
    *, bench: Bench, label: str, step: str, seen: CalcSheet, is_done: bool, by: Any, at: datetime
) -> None:
    """Tick a step of a wire, or take the tick back; the first who ticked it stays named.

    `seen` is the revision that the tablet showed. Raises ValidationError, and changes nothing, if a newer
    one has changed that wire or has no such wire.
    """
    bench = Bench.objects.select_for_update().select_related("sheet").get(pk=bench.pk)
    if step not in list(Step):
        raise ValidationError(f"“{step[:20]}” is no step of the bench.")
    check_as_seen(bench, label, seen)
    if is_done:
        BenchTick.objects.get_or_create(bench=bench, label=label, step=step, defaults={"by": by, "at": at})
        _settle(bench, label, by, at)
    else:
        BenchTick.objects.filter(bench=bench, label=label, step=step).delete()


def _settle(bench: Bench, label: str, by: Any, at: datetime) -> None:
    """A change is seen to once all that it undid is done again."""
    done = set(BenchTick.objects.filter(bench=bench, label=label).values_list("step", flat=True))
    for change in BenchChange.objects.filter(bench=bench, label=label, seen_at=None):
        undone = set(change.lost.split(", ")) if change.lost else {Step.CUT.value}
        if change.kind != BenchChange.Kind.GONE and undone <= done:
            bench_change_seen(change=change, is_seen=True, by=by, at=at)


def check_as_seen(bench: Bench, label: str, seen: CalcSheet) -> None:
    """Raises ValidationError if the wire is not what that revision showed."""
    now = cut_rows(bench.sheet).get(label)
    if now is None:
        raise ValidationError(
            f"Wire {label[:40]} is not in revision {bench.sheet.revision}, which is at the bench now. "
            "Nothing was recorded; if it lies in the loom, pull it out.",
            code=STALE,
        )
    if seen.pk == bench.sheet_id:
        return
    was = cut_rows(seen).get(label)
    if was is None or _differs(was, now):
        raise ValidationError(
            f"Wire {label} is not as you saw it: {bench.taken_by} took revision {bench.sheet.revision} to "
            "the bench. Nothing was recorded; look at the line as it is now.",
            code=STALE,
        )


def _differs(was: CutRow, now: CutRow) -> bool:
    return bool(bench_changes([was], [now]))


@transaction.atomic
def bench_change_seen(*, change: BenchChange, is_seen: bool, by: Any, at: datetime) -> None:
    """Record that somebody saw to what a newer revision asks for, or take that back."""
    change = BenchChange.objects.select_for_update().get(pk=change.pk)
    if is_seen and change.seen_at is None:
        change.seen_by, change.seen_at = by, at
    elif not is_seen:
        change.seen_by, change.seen_at = None, None
    change.save(update_fields=["seen_by", "seen_at"])


@transaction.atomic
def bench_reading_keep(
    *, bench: Bench, label: str, seen: CalcSheet, given: dict[str, Any], by: Any, at: datetime
) -> BenchReading:
    """Keep what a meter showed on one wire. Raises ValidationError if the wire is not what was seen."""
    bench = Bench.objects.select_for_update().select_related("sheet").get(pk=bench.pk)
    check_as_seen(bench, label, seen)
    row = cut_rows(bench.sheet)[label]
    reading = BenchReading(bench=bench, label=label, size=row.size, cut_mm=row.cut_mm, by=by, at=at, **given)
    reading.full_clean(exclude=["bench", "by"])
    reading.save()
    return reading


@transaction.atomic
def bench_reading_take_back(*, reading: BenchReading) -> None:
    """Remove a reading that was typed wrongly."""
    reading.delete()

"""Saving calc sheets."""

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from engineering.models import CalcSheet
from engineering.sheets import KINDS


def calc_sheet_save(
    *,
    job: Any,
    kind: str,
    title: str,
    inputs: dict[str, Any],
    by: Any,
    at: datetime,
    after_revision: int | None = None,
) -> CalcSheet:
    """Work a sheet out and keep it as the next revision of that title.

    `after_revision` is the revision that the person had before them, 0 for a new sheet: if somebody else
    saved one in between, nothing is kept and they are told. None takes whatever is newest.
    Raises ValidationError, by field where a figure cannot be used.
    """
    if kind not in KINDS:
        raise ValidationError(f"There is no calc sheet of the kind “{kind}”.")
    results = KINDS[kind].work_out(inputs)
    try:
        with transaction.atomic():
            return _next_revision(job, kind, title.strip(), inputs, results, by, at, after_revision)
    except IntegrityError as error:  # another tablet took the number between our look and our write
        raise ValidationError(
            "Somebody saved this sheet at the same moment. Look at theirs first."
        ) from error


def _next_revision(
    job: Any,
    kind: str,
    title: str,
    inputs: dict[str, Any],
    results: dict[str, Any],
    by: Any,
    at: datetime,
    after_revision: int | None,
) -> CalcSheet:
    # sheets of one job wait for each other, so that two revisions cannot take the same number
    type(job).objects.select_for_update().get(pk=job.pk)
    newest = CalcSheet.objects.of(job, kind, title).newest_first().first()
    newest_revision = newest.revision if newest else 0
    if after_revision is not None and after_revision != newest_revision:
        raise ValidationError(_taken_words(title, newest, after_revision))
    sheet = CalcSheet(
        job=job,
        part_id=newest.part_id if newest else None,
        kind=kind,
        title=newest.title if newest else title,
        revision=newest_revision + 1,
        inputs=inputs,
        results=results,
        made_by=by,
        made_at=at,
    )
    sheet.full_clean(exclude=["job", "made_by"], validate_constraints=False)
    sheet.save()
    return sheet


def _taken_words(title: str, newest: CalcSheet | None, after_revision: int) -> dict[str, str] | str:
    if newest is None:
        return f"“{title}” is not there any more, so it cannot be revised."
    if after_revision == 0:
        return {
            "title": f"This job has a sheet called “{newest.title}” already: revise that one, or change "
            "the title."
        }
    return (
        f"{newest.made_by} saved revision {newest.revision} of “{title}” while you had revision "
        f"{after_revision} before you. Nothing was kept: look at theirs, then revise it."
    )


def calc_sheet_part(*, sheet: CalcSheet, part: Any | None) -> None:
    """Say which part is made from a sheet, for all its revisions; None: no single one.

    Raises ValidationError if the part is of another car.
    """
    if part is not None and part.car_id != sheet.job.car_id:
        raise ValidationError(f"“{part}” belongs to another car. Choose a part of {sheet.job.car}.")
    CalcSheet.objects.of(sheet.job, sheet.kind, sheet.title).update(part=part)

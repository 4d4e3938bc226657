"""Which days can be recorded: nobody records what has not happened, and a slip in the year is caught."""

from datetime import date, timedelta

from django.core.exceptions import ValidationError
from django.utils import timezone

OLDEST = timedelta(days=5 * 366)
FARTHEST = timedelta(days=3 * 366)


def day_words(day: date) -> str:
    """'Fri 12 Mar', with the year when it is not this one."""
    words = f"{day:%a} {day.day} {day:%b}"
    return words if day.year == timezone.localdate().year else f"{words} {day.year}"


def check_has_been(day: date, *, field: str) -> None:
    """Raise ValidationError on `field` for a day after today, or so long ago that the year must be a slip."""
    today = timezone.localdate()
    if day > today:
        raise ValidationError({field: f"{day_words(day)} has not come yet. Give today or an earlier day."})
    if day < today - OLDEST:
        raise ValidationError({field: f"{day_words(day)} is over five years ago. Check the year."})


def check_near(day: date, *, field: str, today: date | None = None) -> None:
    """Raise ValidationError on `field` for a day so far off that the year must be a slip."""
    today = today or timezone.localdate()
    if day < today - OLDEST:
        raise ValidationError({field: f"{day_words(day)} is over five years ago. Check the year."})
    if day > today + FARTHEST:
        raise ValidationError({field: f"{day_words(day)} is more than three years away. Check the year."})


def check_promise(promised_on: date, *, made_on: date, gone_on: date) -> None:
    """Raise ValidationError on `promised_on` for a promise that cannot be meant."""
    if promised_on < gone_on:
        raise ValidationError(
            {
                "promised_on": f"A promise for {day_words(promised_on)} cannot be meant: "
                f"it goes out on {day_words(gone_on)}."
            }
        )
    if promised_on < made_on:
        raise ValidationError(
            {
                "promised_on": f"A promise made on {day_words(made_on)} cannot be for "
                f"{day_words(promised_on)}, which was over by then."
            }
        )
    if promised_on > made_on + FARTHEST:
        raise ValidationError(
            {"promised_on": f"{day_words(promised_on)} is more than three years away. Check the year."}
        )

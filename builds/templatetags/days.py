"""Days as the workshop writes them."""

from datetime import date

from django import template
from django.utils import timezone

from parts.batching.words import short_day as in_words

register = template.Library()


@register.filter
def short_day(day: date | None) -> str:
    """'Fri 12 Mar', with the year when it is not this one; nothing for no day."""
    return in_words(day, timezone.localdate()) if day else ""

"""The workshop's days in a phone's calendar: the stream, and the page of its addresses."""

from __future__ import annotations

from datetime import UTC
from urllib.parse import urlsplit

import segno
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from builds.access import signed_in_person
from builds.codes import LOOPBACK, tablet_address
from builds.exporting.calendar import calendar_stream
from builds.models import CalendarFeed, Workshop
from builds.network import load_workshop
from builds.services import feeds as services
from builds.sheets.diary import read_diary

SHOWN_ONCE = "calendar_secret"  # in the session from making an address to showing it


@login_not_required
@require_safe
def calendar_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """What a phone reads, without signing in: the address is the key. A revoked one is not found."""
    feed = services.feed_behind(secret, now=timezone.now())
    if feed is None:
        raise Http404("There is no calendar at this address: it was revoked, or never made.")
    workshop = Workshop.objects.current()
    state, for_manager = load_workshop(timezone.localdate()), feed.person.is_manager
    entries = read_diary(
        state.dated() if for_manager else state.facts(),
        for_manager=for_manager,
        address=lambda path: tablet_address(request, path),
    )
    stream = calendar_stream(
        entries, name=workshop.name, host=workshop.code, made_at=timezone.now().astimezone(UTC)
    )
    return HttpResponse(
        stream,
        content_type="text/calendar; charset=utf-8",
        headers={
            "Cache-Control": "private, no-store",
            "Content-Disposition": 'inline; filename="workshop.ics"',
        },
    )


@require_safe
def calendars(request: HttpRequest) -> HttpResponse:
    """One's own addresses; for a manager everybody's."""
    person = signed_in_person(request)
    feeds = CalendarFeed.objects.filter(revoked_at__isnull=True).select_related("person")
    context: dict[str, object] = {
        "own": [feed for feed in feeds if feed.person_id == person.pk],
        "others": [feed for feed in feeds if feed.person_id != person.pk] if person.is_manager else [],
        "secret": request.session.pop(SHOWN_ONCE, ""),
    }
    if context["secret"]:
        address = tablet_address(request, reverse("calendar-feed", args=[context["secret"]]))
        context["address"] = address
        context["is_alone"] = urlsplit(address).netloc.rpartition(":")[0] in LOOPBACK
        context["code"] = segno.make(address, micro=False, error="m").svg_inline(scale=5, svgclass="code")
    return render(request, "builds/calendars.html", context)


@require_POST
def calendar_new(request: HttpRequest) -> HttpResponse:
    try:
        _, secret = services.feed_make(person=signed_in_person(request), now=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        request.session[SHOWN_ONCE] = secret
        messages.success(request, "The address is made. It is shown this once: enter it in your phone now.")
    return redirect("calendars")


@require_POST
def calendar_revoke(request: HttpRequest, feed_id: int) -> HttpResponse:
    feed = get_object_or_404(CalendarFeed.objects.select_related("person"), pk=feed_id)
    try:
        services.feed_revoke(feed=feed, by=signed_in_person(request), now=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, "The address is revoked: a phone that asks there gets nothing any more.")
    return redirect("calendars")

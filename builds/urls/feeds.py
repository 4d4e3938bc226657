"""Addresses: the workshop's days in a phone's calendar."""

from django.urls import URLPattern, path

from builds.views import feeds

urlpatterns: list[URLPattern] = [
    path("calendars/", feeds.calendars, name="calendars"),
    path("calendars/new/", feeds.calendar_new, name="calendar-new"),
    path("calendars/<int:feed_id>/revoke/", feeds.calendar_revoke, name="calendar-revoke"),
    path("calendar/<str:secret>.ics", feeds.calendar_feed, name="calendar-feed"),
]

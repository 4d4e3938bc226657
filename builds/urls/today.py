"""Addresses: today."""

from django.urls import URLPattern, path

from builds.views import today, week

urlpatterns: list[URLPattern] = [
    path("week/", week.week, name="week"),
    path("today/", today.today, name="today"),
    path("today/jobs/<int:job_id>/", today.job_acts, name="job-acts"),
]

"""Addresses, one file per app."""

from django.urls import include, path

urlpatterns = [
    path("", include("builds.urls")),
    path("", include("engineering.urls")),
]

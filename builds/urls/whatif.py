"""Addresses: What if."""

from django.urls import path

from builds.views import whatif

urlpatterns = [
    path("what-if/", whatif.what_if, name="what-if"),
    path("what-if/keep/", whatif.what_if_keep, name="what-if-keep"),
]

"""Addresses: search."""

from django.urls import URLPattern, path

from builds.views import search

urlpatterns: list[URLPattern] = [path("search/", search.search, name="search")]

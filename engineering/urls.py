"""Addresses of calc sheets."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

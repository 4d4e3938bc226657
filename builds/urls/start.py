"""Addresses: start."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

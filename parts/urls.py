"""Addresses of suppliers, parts, route cards, batches and files."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

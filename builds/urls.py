"""Addresses of cars, jobs, people and the workshop pages."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []

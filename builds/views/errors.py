"""Answers to requests that cannot be served, in words."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def stale_page(request: HttpRequest, reason: str = "") -> HttpResponse:
    """The form's token is missing or old: usually a page left open overnight."""
    return render(request, "errors/stale_page.html", status=403)

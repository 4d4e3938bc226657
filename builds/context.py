"""What every page shows: the workshop's name."""

from django.http import HttpRequest

from .models import Workshop


def workshop(request: HttpRequest) -> dict[str, Workshop]:
    return {"workshop": Workshop.objects.current()}

"""What every page shows: the workshop's name, and the ground somebody chose."""

from django.http import HttpRequest

from .models import Workshop

GROUNDS = ("day", "night")


def workshop(request: HttpRequest) -> dict[str, object]:
    """The ground is empty until somebody chooses: then the tablet's own setting counts."""
    ground = request.COOKIES.get("ground", "")
    return {"workshop": Workshop.objects.current(), "ground": ground if ground in GROUNDS else ""}

"""Who may open an address. Everybody signed in may, unless the view says `managers_only`."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase

from .models import Person

Arguments = ParamSpec("Arguments")
View = Callable[Concatenate[HttpRequest, Arguments], HttpResponseBase]


def managers_only(view: View[Arguments]) -> View[Arguments]:
    """Answer 403 to a fitter. Sign-in itself is asked for by the middleware, for every address."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Arguments.args, **kwargs: Arguments.kwargs) -> HttpResponseBase:
        if not signed_in_person(request).is_manager:
            raise PermissionDenied("Only a manager may do this.")
        return view(request, *args, **kwargs)

    guarded.for_managers = True  # type: ignore[attr-defined]  # read by the test that walks every address
    return guarded


def signed_in_person(request: HttpRequest) -> Person:
    """The person behind the request, typed."""
    user: Any = request.user
    if not isinstance(user, Person):
        raise PermissionDenied("Sign in first.")
    return user

"""Addresses that a form names: where to go when it is done."""

from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme

LONGEST = 2000  # letters; what is longer is no address that one of our pages wrote


def own_address(request: HttpRequest, wanted: str) -> str:
    """The address if it is a path on this server, else ''.

    A path begins with a stroke. A bare word is refused too: a redirect would take it for the name of a view.
    """
    is_own = (
        wanted.startswith("/")
        and len(wanted) <= LONGEST
        and url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    )
    return wanted if is_own else ""

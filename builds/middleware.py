"""Sends whoever is not signed in to the sign-in page, without losing where they were."""

from urllib.parse import urlsplit

from django.contrib import messages
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.utils.http import url_has_allowed_host_and_scheme

from builds.models import Person

NOT_RECORDED = "You had been signed out, so nothing was recorded. Sign in and press again."


class SignInMiddleware(LoginRequiredMiddleware):
    """A press on a page that was left open leads back to that page: its own address cannot be opened.

    What a manager saw is not kept by the browser: on a shared tablet “back” after signing out would show it.
    """

    def process_view(
        self, request: HttpRequest, view_func: object, view_args: object, view_kwargs: object
    ) -> HttpResponseBase | None:
        answer = super().process_view(request, view_func, view_args, view_kwargs)
        user = request.user
        request.is_for_manager = isinstance(user, Person) and user.is_manager  # type: ignore[attr-defined]
        return answer

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        if getattr(request, "is_for_manager", False):  # a request that found no view has no such mark
            response.headers.setdefault("Cache-Control", "private, no-store")
        return response

    def handle_no_permission(self, request: HttpRequest, view_func: object) -> HttpResponseBase:
        by_htmx = request.headers.get("HX-Request") == "true"
        if request.method in ("GET", "HEAD") and not by_htmx:
            return super().handle_no_permission(request, view_func)
        if request.method not in ("GET", "HEAD"):
            messages.warning(request, NOT_RECORDED)
        page = request.headers.get("HX-Current-URL") or request.headers.get("Referer", "")
        answer = redirect_to_login(_own_path(request, page), self.get_login_url(view_func))
        if not by_htmx:
            return answer
        # a redirect would put the sign-in page into the piece of page that htmx replaces
        return HttpResponse(headers={"HX-Redirect": answer.url})


def _own_path(request: HttpRequest, address: str) -> str:
    """Path and query of an address on this server, else the front page."""
    if not url_has_allowed_host_and_scheme(address, {request.get_host()}):
        return "/"
    parts = urlsplit(address)
    return f"{parts.path}?{parts.query}" if parts.query else parts.path or "/"

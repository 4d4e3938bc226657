"""What the whole site answers when a page cannot be made here."""

import logging
from collections.abc import Callable

from django.core.exceptions import ObjectDoesNotExist
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from config.pdf import PdfUnavailable
from config.pdf_libraries import INSTALL_COMMAND

logger = logging.getLogger(__name__)


class OvertakenMiddleware:
    """Tells in words that somebody else was quicker by a moment.

    Services look under a lock before they write. What the database itself refuses after that, or what was
    removed between the look and the lock, is no fault of the server: nothing was recorded, and a fresh look
    shows why.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        is_press = request.method not in ("GET", "HEAD")
        if not is_press or not isinstance(exception, IntegrityError | ObjectDoesNotExist):
            return None
        logger.warning("Refused at the last moment: %s", request.path, exc_info=exception)
        return render(request, "errors/overtaken.html", status=409)


class PdfUnavailableMiddleware:
    """Turns a print request on a computer without the system libraries into a page that says what to run."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if not isinstance(exception, PdfUnavailable):
            return None
        return render(request, "print/unavailable.html", {"command": INSTALL_COMMAND}, status=503)

"""What the whole site answers when a page cannot be made here."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from config.pdf import PdfUnavailable
from config.pdf_libraries import INSTALL_COMMAND


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

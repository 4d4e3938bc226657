"""Printing on a computer without the system libraries is answered with the command that installs them."""

from __future__ import annotations

from typing import Any

import pytest
from django.http import HttpResponse
from django.test import RequestFactory
from django.utils.html import escape

from config.middleware import PdfUnavailableMiddleware
from config.pdf import PdfRefused, PdfUnavailable
from config.pdf_libraries import INSTALL_COMMAND


@pytest.fixture
def middleware() -> PdfUnavailableMiddleware:
    return PdfUnavailableMiddleware(lambda request: HttpResponse())


def test_the_page_names_the_command(
    middleware: PdfUnavailableMiddleware, rf: RequestFactory, manager: Any, workshop: Any
) -> None:
    request = rf.get("/anything.pdf")
    request.user = manager
    answer = middleware.process_exception(request, PdfUnavailable("…"))
    assert answer is not None
    assert answer.status_code == 503
    assert escape(INSTALL_COMMAND) in answer.content.decode()


def test_other_faults_are_left_alone(middleware: PdfUnavailableMiddleware, rf: RequestFactory) -> None:
    assert middleware.process_exception(rf.get("/anything.pdf"), PdfRefused("file:///x")) is None

"""Codes on paper, and the addresses in them."""

from __future__ import annotations

import re
from io import BytesIO

import segno
from django.conf import settings
from django.http import HttpRequest

LOOPBACK = {"127.0.0.1", "localhost", "[::1]"}
_LABEL = re.compile(r"/label/([^/?#\s]+)/([^/?#\s]+)/?", re.IGNORECASE)


def tablet_address(request: HttpRequest, path: str) -> str:
    """An address that a tablet can open: never this computer's own loopback where it serves the network."""
    host = request.get_host().rpartition(":")[0] or request.get_host()
    if settings.TABLET_ADDRESS and host in LOOPBACK:
        return f"{settings.TABLET_ADDRESS}{path}"
    return request.build_absolute_uri(path)


def qr_png(text: str) -> bytes:
    """Level M, with the quiet zone that the standard asks for (ISO/IEC 18004: four modules)."""
    buffer = BytesIO()
    segno.make(text, micro=False, error="m").save(buffer, kind="png", scale=8, border=4)
    return buffer.getvalue()


def read_label(text: str) -> tuple[str, str]:
    """Workshop code (empty if only a part's code was typed) and part code of what a scanner sent.

    Examples
    --------
    >>> read_label("http://192.168.1.20:8000/label/9f2c41aa/K7QMX2PA/")
    ('9f2c41aa', 'K7QMX2PA')
    >>> read_label(" k7qm-x2pa ")
    ('', 'K7QMX2PA')
    """
    found = _LABEL.search(text)
    if found:
        return found[1].lower(), found[2].upper()
    return "", re.sub(r"[\s-]", "", text).upper()

"""What stands on a printed page."""

from __future__ import annotations

from io import BytesIO

from playwright.sync_api import Locator, Page
from pypdf import PdfReader


def pdf_behind(link: Locator) -> bytes:
    """The file that a press on the link opens; the page is left where it was."""
    page, here = link.page, link.page.url
    link.click()
    pdf = pdf_open(page, here)
    page.goto(here)
    return pdf


def pdf_open(page: Page, left: str) -> bytes:
    """What the browser shows once it has left an address, fetched anew with the same session."""
    page.wait_for_url(lambda address: address != left, wait_until="commit")
    answer = page.request.get(page.url)
    assert answer.headers["content-type"] == "application/pdf"
    pdf = answer.body()
    assert pdf.startswith(b"%PDF")
    return pdf


def words_of(pdf: bytes) -> str:
    """Its text on one line, so that a wrap between two words hides nothing."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())

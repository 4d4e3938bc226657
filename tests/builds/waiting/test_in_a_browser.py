"""Goods in from the list itself, in a real browser: with script it stays on the page; without it works."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.test import Client
from django.utils import timezone

from parts.models import Operation

CHROMIUM = "/usr/bin/chromium"
QUIET = [
    "--no-sandbox",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not Path(CHROMIUM).exists(), reason=f"{CHROMIUM} is not installed"),
]


@pytest.fixture
def tablet(live_server: Any, fitter: Any, radiator: Any) -> Iterator[Callable[..., Any]]:
    """tablet(script=True): what is waited for, on a tablet with touch; faults of the page stop the test."""
    from playwright.sync_api import sync_playwright

    client = Client()
    client.force_login(fitter)
    session = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}
    faults: list[str] = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)

        def open_page(*, script: bool = True) -> Any:
            context = browser.new_context(
                viewport={"width": 810, "height": 1080}, has_touch=True, java_script_enabled=script
            )
            context.add_cookies([session])
            page = context.new_page()
            page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
            page.goto(f"{live_server.url}/waiting/")
            return page

        yield open_page
        browser.close()
    assert faults == []


def states() -> list[str]:
    return [str(line.state) for line in Operation.objects.order_by("sequence")]


def test_a_refusal_stays_below_its_line_and_goods_in_redraws_the_list(tablet: Any) -> None:
    page = tablet()
    page.get_by_role("link", name="Goods in", exact=True).tap()
    today = timezone.localdate()
    page.get_by_label("Came in on").fill((today - timedelta(days=90)).isoformat())
    page.get_by_role("button", name="Accept").tap()
    page.get_by_text("cannot come in before that").wait_for()
    assert states() == ["out"]
    page.get_by_label("Came in on").fill(today.isoformat())
    page.get_by_role("button", name="Accept").tap()
    page.get_by_text("Nothing is out, no car is away").wait_for()
    assert "is accepted, goods in" in page.locator("#messages").inner_text()
    assert states() == ["accepted"]


def test_a_form_that_was_opened_can_be_left(tablet: Any) -> None:
    page = tablet()
    page.get_by_role("link", name="New promise").tap()
    page.get_by_role("button", name="Record the promise").wait_for()
    page.get_by_role("link", name="Leave it").tap()
    page.get_by_role("button", name="Record the promise").wait_for(state="detached")
    assert states() == ["out"]


def test_a_part_is_rejected_without_script(tablet: Any) -> None:
    page = tablet(script=False)
    page.get_by_role("link", name="Goods in", exact=True).tap()
    page.get_by_label("What is wrong").fill("leaks at the seam")
    page.get_by_role("button", name="Reject").tap()
    page.wait_for_url(lambda url: urlsplit(url).path == "/waiting/")  # not the form, which has it as `next`
    assert "is rejected" in page.locator("#messages").inner_text()
    assert states() == ["rejected", "to do"]

"""The PIN pad on a tablet: with its keys, and without script."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

CHROMIUM = "/usr/bin/chromium"
QUIET = [
    "--no-sandbox",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SMALLEST_KEY_PX = 64

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not Path(CHROMIUM).exists(), reason=f"{CHROMIUM} is not installed"),
]


@pytest.fixture
def tablet(live_server: Any, fitter: Any) -> Iterator[Callable[..., Any]]:
    """tablet(script=True): the sign-in page on a tablet with touch."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)

        def open_page(*, script: bool = True) -> Any:
            context = browser.new_context(
                viewport={"width": 810, "height": 1080}, has_touch=True, java_script_enabled=script
            )
            page = context.new_page()
            page.goto(f"{live_server.url}/sign-in/?next=/people/")
            page.get_by_role("link", name="Rafe Holloway").tap()
            return page

        yield open_page
        browser.close()


def test_a_pin_is_pressed_on_big_keys(tablet: Callable[..., Any]) -> None:
    page = tablet()
    keys = page.locator(".keys button")
    keys.first.wait_for()
    boxes = [keys.nth(number).bounding_box() for number in range(keys.count())]
    assert len(boxes) == 12
    assert min(min(box["width"], box["height"]) for box in boxes) >= SMALLEST_KEY_PX
    page.get_by_role("button", name="9", exact=True).tap()
    page.get_by_role("button", name="Clear").tap()
    for digit in "4821":
        page.get_by_role("button", name=digit, exact=True).tap()
    page.locator(".keys").get_by_role("button", name="Sign in").tap()
    page.wait_for_url("**/people/")
    assert page.get_by_role("heading", name="People", exact=True).is_visible()


def test_a_pin_is_typed_where_there_is_no_script(tablet: Callable[..., Any]) -> None:
    page = tablet(script=False)
    assert not page.locator(".keys").is_visible()
    page.get_by_label("PIN").fill("4821")
    page.get_by_role("button", name="Sign in").tap()
    page.wait_for_url("**/people/")


def test_the_sign_in_pages_have_no_fault_of_access(tablet: Callable[..., Any], live_server: Any) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page = tablet()
    page.locator(".keys button").first.wait_for()
    for _ in range(2):  # the pad, then the names
        faults = Axe().run(page).response["violations"]
        assert [fault["id"] for fault in faults] == []
        page.goto(f"{live_server.url}/sign-in/")

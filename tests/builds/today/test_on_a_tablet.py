"""Today on a tablet, in a real browser."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from builds.models import Job

CHROMIUM = "/usr/bin/chromium"
QUIET = [
    "--no-sandbox",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SMALLEST_TARGET_PX = 48

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not Path(CHROMIUM).exists(), reason=f"{CHROMIUM} is not installed"),
]


@pytest.fixture
def tablet(live_server: Any, fitter: Any) -> Iterator[Callable[..., Any]]:
    """tablet(script=True): Today on a tablet with touch, the fitter signed in."""
    from playwright.sync_api import sync_playwright

    client = Client()
    client.force_login(fitter)
    session = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)

        def open_page(*, script: bool = True) -> Any:
            context = browser.new_context(
                viewport={"width": 810, "height": 1080}, has_touch=True, java_script_enabled=script
            )
            context.add_cookies([session])
            page = context.new_page()
            page.goto(f"{live_server.url}/today/")
            return page

        yield open_page
        browser.close()


def done() -> list[str]:
    return list(Job.objects.exclude(done_at=None).values_list("title", flat=True))


def test_a_tick_brings_what_became_clear(tern, make_job, tablet):
    first = make_job(tern, "Trial fit radiator")
    make_job(tern, "Fit radiator", after=[first])
    page = tablet()
    page.get_by_role("button", name="Tick done: Trial fit radiator, Tern").tap()
    page.get_by_role("button", name="Tick done: Fit radiator, Tern").wait_for()
    assert "“Trial fit radiator” is ticked done." in page.locator("#messages").inner_text()
    assert done() == ["Trial fit radiator"]


def test_a_double_tap_ticks_one_job_and_not_the_one_that_moves_up(tern, make_job, tablet):
    for number in range(4):
        make_job(tern, f"Job {number}", position=number)
    page = tablet()
    box = page.locator("button.box").first.bounding_box()
    for _ in range(3):
        page.touchscreen.tap(box["x"] + 20, box["y"] + 20)
        page.wait_for_timeout(100)
    page.get_by_role("heading", name="Ticked today").wait_for()
    page.wait_for_timeout(300)
    assert done() == ["Job 0"]


def test_everything_that_is_pressed_is_big_enough(tern, make_job, tablet):
    make_job(tern, "Fit sump")
    page = tablet()
    page.locator(".presses a").first.tap()
    page.locator(".sheets-acts summary").first.wait_for()
    targets = page.locator("#today button, #today a.button, #today summary")
    heights = [targets.nth(number).bounding_box()["height"] for number in range(targets.count())]
    assert len(heights) >= 6
    assert min(heights) >= SMALLEST_TARGET_PX


def test_a_tick_works_without_script(tern, make_job, tablet):
    make_job(tern, "Fit sump")
    page = tablet(script=False)
    page.get_by_role("button", name="Tick done: Fit sump, Tern").tap()
    page.get_by_role("heading", name="Ticked today").wait_for()
    assert done() == ["Fit sump"]


@pytest.mark.parametrize("address", ["/today/", "/jobs/{job}/", "/jobs/{job}/edit/"])
def test_the_pages_have_no_fault_that_axe_knows(tern, make_job, fitter, manager, tablet, address):
    from axe_playwright_python.sync_playwright import Axe

    job = make_job(tern, "Fit sump", cautions=["lifting"], needs_signature=True)
    fitter.role = "manager"  # sees most
    fitter.save()
    page = tablet()
    page.goto(page.url.replace("/today/", address.format(job=job.pk)))
    page.evaluate("() => document.querySelectorAll('details').forEach(each => each.open = true)")
    assert Axe().run(page).response["violations"] == []

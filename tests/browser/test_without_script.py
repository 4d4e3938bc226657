"""With JavaScript switched off the work still gets done, a whole page at a time."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.browser.conftest import MANAGER, UPRIGHT, Served, Visit

CLEAR_JOB = "Flush lines, fill with running-in oil, check for leaks"


def test_a_job_is_ticked_goods_come_in_and_a_batch_is_made(own_workshop: Served, visit: Visit) -> None:
    page = visit(own_workshop, MANAGER, UPRIGHT, java_script_enabled=False)
    ticks_a_job_on_the_car_sheet(page)
    ticks_a_job_on_today(page)
    accepts_goods(page)
    makes_a_batch(page)


def ticks_a_job_on_the_car_sheet(page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="Tern", exact=True).click()
    page.get_by_role("button", name=f"Tick done: {CLEAR_JOB}").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Tern")
    expect(page.get_by_role("status")).to_contain_text(f"“{CLEAR_JOB}” is ticked done")
    expect(page.get_by_role("button", name=f"Tick done: {CLEAR_JOB}")).to_have_count(0)


def ticks_a_job_on_today(page: Page) -> None:
    page.get_by_role("link", name="Today", exact=True).click()
    box = page.locator("button.box").first
    title = (box.get_attribute("aria-label") or "").removeprefix("Tick done: ").rpartition(",")[0]
    box.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Today")
    expect(page.get_by_role("region", name="Ticked today")).to_contain_text(title)


def accepts_goods(page: Page) -> None:
    page.get_by_role("link", name="Waiting on suppliers").click()
    line = page.locator("li.out", has_text="Radiator · Tern")
    line.get_by_role("link", name="Goods in").click()
    page.get_by_role("button", name="Reject").click()  # without a reason it is refused, in words
    expect(page.get_by_role("main")).to_contain_text("A rejection needs its reason")
    page.get_by_role("button", name="Accept").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Waiting on suppliers")
    expect(page.get_by_role("status")).to_contain_text("Radiator")
    expect(line).to_have_count(0)


def makes_a_batch(page: Page) -> None:
    page.get_by_role("link", name="Finishing", exact=True).click()
    lot = page.locator("section.lot", has_text="Powder coat")
    lot.get_by_text("making up a batch by hand").click()
    expect(lot.get_by_role("button", name="Make up a batch")).to_be_visible()
    for number in range(3):  # nothing of it is ready, so nothing is ticked
        lot.get_by_role("checkbox").nth(number).check()
    lot.get_by_role("button", name="Make up a batch").click()
    page.get_by_role("checkbox").first.uncheck()
    page.get_by_role("button", name="See what it does").click()
    page.get_by_role("button", name=re.compile("Make the batch of 2 parts")).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Batch")
    expect(page.get_by_role("region", name="Pieces").get_by_role("rowheader")).to_have_count(2)

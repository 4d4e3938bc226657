"""Several people and tablets: second signatures, the same job edited twice, a server that is gone."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.browser.conftest import LAPTOP, MANAGER, PINS, UPRIGHT, Served, Visit

FITTER, OTHER = "Rafe Holloway", "Ines Brandt"
TO_SIGN = "Fit and prove lights, horn, wipers and washers"


def test_a_second_signature_is_refused_to_the_doer_and_given_by_another(
    own_workshop: Served, visit: Visit
) -> None:
    manager = visit(own_workshop, MANAGER, LAPTOP)
    open_job(manager, "Tern", TO_SIGN)
    manager.get_by_role("link", name="Change the job").click()
    manager.get_by_label(re.compile("second signature", re.IGNORECASE)).check()
    manager.get_by_role("button", name="Save the job").click()
    expect(manager.get_by_role("heading", level=1)).to_have_text(TO_SIGN)

    tablet = visit(own_workshop, FITTER, UPRIGHT)
    open_job(tablet, "Tern", TO_SIGN)
    tablet.get_by_role("button", name="Tick done").tap()
    expect(tablet.locator("b.condition")).to_have_text("done")
    expect(tablet.get_by_role("button", name="I checked it")).to_have_count(0)

    sign(tablet, FITTER)
    expect(tablet.get_by_role("main")).to_contain_text("cannot sign it off: another person must check it")
    expect(tablet.locator("b.condition")).to_have_text("done")
    sign(tablet, OTHER)
    expect(tablet.get_by_role("status")).to_contain_text(f"is signed off by {OTHER}")
    expect(tablet.locator("b.condition")).to_have_text("signed off")


def test_the_second_of_two_who_edit_one_job_is_told_and_overwrites_nothing(
    own_workshop: Served, visit: Visit
) -> None:
    first, second = visit(own_workshop, MANAGER, LAPTOP), visit(own_workshop, MANAGER, UPRIGHT)
    for page in (first, second):
        open_job(page, "Tern", TO_SIGN)
        page.get_by_role("link", name="Change the job").click()
    save_title(first, "Prove the lights")
    expect(first.get_by_role("heading", level=1)).to_have_text("Prove the lights")

    save_title(second, "Prove the wipers")
    told = second.get_by_role("region", name="Changed by somebody else meanwhile")
    expect(told).to_contain_text("Nothing of yours was saved")
    expect(told.get_by_role("row", name="Prove the lights")).to_contain_text("Prove the wipers")
    first.reload()
    expect(first.get_by_role("heading", level=1)).to_have_text("Prove the lights")

    second.get_by_role("button", name="Save the job").click()  # now knowing of the other change
    expect(second.get_by_role("heading", level=1)).to_have_text("Prove the wipers")


def test_a_tick_says_that_nothing_was_recorded_when_the_server_is_gone(
    own_workshop: Served, visit: Visit
) -> None:
    page = visit(own_workshop, FITTER, UPRIGHT)
    page.goto("/today/")
    box = page.locator("button.box").first
    title = (box.get_attribute("aria-label") or "").removeprefix("Tick done: ").rpartition(",")[0]
    for complaint in ("ERR_CONNECTION_REFUSED", "^htmx:(sendError|afterRequest)"):
        visit.expect_complaint(complaint)
    page.route("**/done/", lambda route: route.abort("connectionrefused"))
    box.tap()
    expect(page.get_by_role("status")).to_contain_text("nothing was recorded")
    expect(page.get_by_role("region", name="Ticked today")).to_have_count(0)

    page.unroute("**/done/")
    box.tap()
    expect(page.get_by_role("status")).to_contain_text(f"“{title}” is ticked done")


def open_job(page: Page, car: str, title: str) -> None:
    page.goto("/")
    page.get_by_role("link", name=car, exact=True).click()
    page.get_by_role("link", name=title, exact=True).first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(title)


def sign(page: Page, who: str) -> None:
    page.get_by_label("Who checked it").select_option(label=who)
    page.get_by_label("PIN").fill(PINS[who])
    page.get_by_role("button", name="Sign off", exact=True).tap()


def save_title(page: Page, title: str) -> None:
    page.get_by_label("What has to be done").fill(title)
    page.get_by_role("button", name="Save the job").click()

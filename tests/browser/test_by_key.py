"""The keyboard alone: to the sheet, through it, and a job ticked with it."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import LAPTOP, MANAGER, Served, Visit

PAGES = ("/cars/1/", "/today/", "/waiting/", "/finishing/")
MOST_STOPS = 700

WHERE = """() => {
    const held = document.activeElement;
    if (!held || held === document.body) return null;
    const box = held.getBoundingClientRect();
    const over = document.elementFromPoint(box.x + box.width / 2, Math.max(box.y, 0) + 4);
    return {
        html: held.outerHTML.slice(0, 120),
        number: [...document.querySelectorAll("*")].indexOf(held),
        shown: box.bottom > 0 && box.top < innerHeight && box.width > 0,
        covered: !!over && !held.contains(over) && !over.contains(held) && !!over.closest(".messages"),
    };
}"""

REACHABLE = """() => [...document.querySelectorAll(
    "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")].filter(
    (element) => element.checkVisibility({visibilityProperty: true}) && !element.disabled).length"""


@pytest.mark.parametrize("path", PAGES)
def test_tab_goes_through_the_page_in_its_order_and_what_is_held_is_in_view(
    path: str, served: Served, visit: Visit
) -> None:
    page = visit(served, MANAGER, LAPTOP)
    page.goto(path)
    expect(page.locator("[aria-busy=true]")).to_have_count(0)  # dates that come later are part of the page
    stops = tab_stops(page)
    assert [stop["html"] for stop in stops if not stop["shown"] or stop["covered"]] == []
    numbers = [stop["number"] for stop in stops]
    assert numbers == sorted(numbers)
    assert len(stops) == page.evaluate(REACHABLE)


def tab_stops(page: Page) -> list[dict[str, object]]:
    """Where Tab comes by, from the top of the page until it leaves it."""
    stops: list[dict[str, object]] = []
    while len(stops) < MOST_STOPS:
        page.keyboard.press("Tab")
        stop = page.evaluate(WHERE)
        if stop is None or (stops and stop["number"] == stops[0]["number"]):
            return stops
        if not stops or stop["number"] != stops[-1]["number"]:  # a date is one field with several stops
            stops.append(stop)
    pytest.fail("Tab does not come to an end")


def test_the_first_stop_leads_past_the_tabs_to_the_sheet(served: Served, visit: Visit) -> None:
    page = visit(served, MANAGER, LAPTOP)
    page.goto("/today/")
    page.keyboard.press("Tab")
    expect(page.locator(":focus")).to_have_text("Skip to the sheet")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.locator("main :focus")).to_have_count(1)


def test_a_job_is_ticked_and_taken_back_by_key_and_the_place_is_kept(
    own_workshop: Served, visit: Visit
) -> None:
    page = visit(own_workshop, "Rafe Holloway", LAPTOP)
    page.goto("/today/")
    box = page.locator("button.box").first
    number = box.get_attribute("id")
    box.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("is ticked done")
    expect(page.locator(":focus")).to_have_attribute("id", str(number))
    page.keyboard.press("Tab")
    expect(page.locator(":focus")).to_contain_text("Take back")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("the tick is taken back")
    expect(page.locator(f"button.box#{number}")).to_be_visible()

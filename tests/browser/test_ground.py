"""Day and night: the switch is kept, and without it the ground is that of the tablet."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.browser.conftest import UPRIGHT, Served, Visit

DAY, NIGHT = "rgb(244, 240, 230)", "rgb(16, 18, 20)"


def test_the_ground_follows_the_tablet_until_somebody_presses_the_switch(
    served: Served, visit: Visit
) -> None:
    page = visit(served, None, UPRIGHT, color_scheme="dark")
    page.goto("/sign-in/")
    expect(page.locator("body")).to_have_css("background-color", NIGHT)
    expect(page.get_by_role("button", name="Night ground")).to_have_count(0)
    page.get_by_role("button", name="Day ground").tap()
    expect(page.locator("body")).to_have_css("background-color", DAY)
    page.goto("/sign-in/")
    expect(page.locator("body")).to_have_css("background-color", DAY)
    page.get_by_role("button", name="Night ground").tap()
    expect(page.locator("body")).to_have_css("background-color", NIGHT)

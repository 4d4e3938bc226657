"""A route card is held to the rules as it is typed; without script the same is said on saving."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from tests.browser.conftest import MANAGER, UPRIGHT, Served, Visit

PART = "Fuel tank"
RULE = "Weld must come before anodise"
WHY = "Welding after anodising burns the film"


def test_the_rule_speaks_while_the_line_is_typed(own_workshop: Served, visit: Visit) -> None:
    page = visit(own_workshop, MANAGER, UPRIGHT)
    new_line(page)
    page.get_by_label("Process").select_option(label="Weld")
    expect(page.locator("#rulings")).to_contain_text(RULE)
    expect(page.locator("#rulings")).to_contain_text(WHY)

    reason = page.get_by_label("Let it stand all the same, because")
    reason.fill("stripped and done again after it")
    page.get_by_label("Coating class").fill("AA15")
    with page.expect_response("**/check/"):  # asks again, and what was typed stays
        page.get_by_label("Coating class").press("Tab")
    expect(reason).to_have_value("stripped and done again after it")

    page.get_by_label("Comes").select_option(label="after line 1, fabricate")
    expect(page.locator("#rulings")).not_to_contain_text(RULE)
    page.get_by_label("Comes").select_option(label="after line 2, anodise")
    expect(page.locator("#rulings")).to_contain_text(RULE)
    lets_it_stand(page)


def test_without_script_it_is_said_on_saving(own_workshop: Served, visit: Visit) -> None:
    page = visit(own_workshop, MANAGER, UPRIGHT, java_script_enabled=False)
    new_line(page)
    page.get_by_label("Process").select_option(label="Weld")
    page.get_by_label("Comes").select_option(label="after line 2, anodise")
    days(page)
    page.get_by_role("button", name="Save the line").click()
    expect(page.get_by_role("main")).to_contain_text("Nothing is saved yet")
    expect(page.locator("#rulings")).to_contain_text(RULE)
    lets_it_stand(page)


def test_mass_and_surface_are_taken_over(own_workshop: Served, visit: Visit) -> None:
    page = visit(own_workshop, MANAGER, UPRIGHT)
    page.goto(own_workshop.url("part-measure", part_id=petrels_tank(page)))
    page.get_by_label("box section or block").check()
    expect(page.get_by_label("Thickness (mm)")).to_be_hidden()
    page.get_by_label("Wall (mm)").fill("3")
    page.get_by_label("Wall (mm)").press("Tab")
    expect(page.locator("#measured")).to_contain_text("2.4345 m²")
    page.get_by_role("button", name="Take over").click()
    expect(page.get_by_role("status")).to_contain_text("mass and surface are taken over")
    expect(page.get_by_role("main")).to_contain_text("2.4345 m² each")


def petrels_tank(page: Page) -> int:
    page.goto("/search/?q=fuel tank")
    page.get_by_role("link", name=PART, exact=True).and_(page.locator("[href*='/parts/']")).last.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(PART)
    return int(page.url.rstrip("/").rpartition("/")[2])


def new_line(page: Page) -> None:
    petrels_tank(page)
    page.get_by_role("link", name="Add a line").click()
    expect(page.get_by_label("Process")).to_be_visible()
    page.wait_for_load_state("load")  # what is chosen before the script is there asks nothing


def days(page: Page) -> None:
    for name, value in (("Low", "1"), ("Likely", "2"), ("High", "3")):
        page.get_by_label(name, exact=True).fill(value)


def lets_it_stand(page: Page) -> None:
    days(page)
    page.get_by_label("Let it stand all the same, because").fill("stripped and done again after it")
    page.get_by_role("button", name="Save the line").click()
    expect(page.get_by_role("status")).to_contain_text("Line 3 of the route card is written")
    expect(page.get_by_role("region", name="Rules of the trade")).to_contain_text("Overruled by Maud Ellery")

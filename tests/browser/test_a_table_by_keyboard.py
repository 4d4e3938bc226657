"""A table of a loom is typed without a mouse: Enter, arrows, paste, and a new line below the last."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import LAPTOP, UPRIGHT, Served, Visit


@pytest.fixture
def page(served: Served, visit: Visit) -> Page:
    page: Page = visit(served, "Ines Brandt", LAPTOP)
    job_id = served.numbers["job_id"][0]
    page.goto(served.url("calc-sheet-new", job_id=job_id, kind="loom"))
    expect(page.get_by_role("heading", level=1)).to_have_text("New wire list")
    return page


def cell(page: Page, name: str) -> Locator:
    return page.locator(f"[name='{name}']")


def test_enter_and_arrows_walk_the_cells_as_in_a_spreadsheet(page: Page) -> None:
    cell(page, "runs-0-name").focus()
    page.keyboard.type("R1")
    page.keyboard.press("Tab")
    expect(cell(page, "runs-0-start")).to_be_focused()
    page.keyboard.press("Enter")
    expect(cell(page, "runs-1-start")).to_be_focused()
    page.keyboard.press("ArrowLeft")
    expect(cell(page, "runs-1-name")).to_be_focused()
    page.keyboard.press("ArrowUp")
    expect(cell(page, "runs-0-name")).to_be_focused()
    page.keyboard.press("ArrowRight")  # all of it is selected, as after any move
    expect(cell(page, "runs-0-start")).to_be_focused()
    page.keyboard.press("Shift+Enter")
    expect(cell(page, "runs-0-start")).to_be_focused()
    expect(page.get_by_role("alert")).to_have_count(0)  # Enter has sent nothing


def test_the_arrows_move_within_a_word_before_they_leave_its_cell(page: Page) -> None:
    cell(page, "runs-0-name").focus()
    page.keyboard.type("R1")
    page.keyboard.press("ArrowLeft")
    expect(cell(page, "runs-0-name")).to_be_focused()
    page.keyboard.type("x")
    expect(cell(page, "runs-0-name")).to_have_value("Rx1")


def test_a_line_begun_at_the_end_brings_another_with_its_own_name(page: Page) -> None:
    expect(cell(page, "runs-4-name")).to_have_count(0)
    cell(page, "runs-3-name").focus()
    page.keyboard.type("R4")
    expect(cell(page, "runs-4-name")).to_have_value("")
    expect(cell(page, "runs-4-name")).to_have_attribute("aria-label", "Run, line 5")
    page.keyboard.press("Enter")
    expect(cell(page, "runs-4-name")).to_be_focused()
    page.keyboard.press("Enter")
    expect(cell(page, "runs-5-name")).to_be_focused()


PASTED = "R1\taft\tfore\t1,2 m\n" + "".join(f"R{n}\taft\tj{n}\t300\n" for n in range(2, 8))


def test_lines_from_a_spreadsheet_are_pasted_from_the_cell_on(page: Page) -> None:
    cell(page, "runs-0-name").focus()
    page.evaluate(
        """text => {
            const data = new DataTransfer();
            data.setData("text/plain", text);
            document.activeElement.dispatchEvent(
                new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true}));
        }""",
        PASTED,
    )
    expect(cell(page, "runs-6-name")).to_have_value("R7")
    expect(cell(page, "runs-0-length_mm")).to_have_value("1,2 m")
    expect(cell(page, "runs-7-name")).to_be_focused()


def test_what_was_typed_into_new_lines_reaches_the_sum(page: Page) -> None:
    for number in range(6):
        cell(page, f"runs-{number}-name").fill(f"R{number}")
        cell(page, f"runs-{number}-start").fill("aft")
        cell(page, f"runs-{number}-end").fill(f"j{number}")
        cell(page, f"runs-{number}-length_mm").fill("-1" if number == 5 else "300")
    page.get_by_label("Title of the sheet").fill("Six runs")
    page.get_by_role("button", name="Work out").click()
    expect(page.get_by_role("alert")).to_contain_text("Not worked out")
    expect(cell(page, "runs-5-length_mm")).to_have_value("-1")


def test_standard_letters_and_numbers_are_offered_where_they_are_typed(page: Page) -> None:
    colours = page.locator(f"#{cell(page, 'wires-0-colour').get_attribute('list')} option")
    expect(colours.first).to_have_attribute("label", "black, earth (BS AU 7)")
    terminal = page.locator(f"#{cell(page, 'wires-0-circuit').get_attribute('list')} option[value='56a']")
    expect(terminal).to_have_attribute("label", "main beam and its tell-tale (DIN 72552)")


def test_circuits_are_added_by_touch_and_stand_there_to_be_read(served: Served, visit: Visit) -> None:
    page = visit(served, "Ines Brandt", UPRIGHT)
    page.goto(served.url("calc-sheet-new", job_id=served.numbers["job_id"][0], kind="loom"))
    page.get_by_label("Title of the sheet").fill("Horns first")
    page.get_by_label("Horns", exact=True).check()
    page.get_by_role("button", name="Add them to the tables").tap()
    expect(page.get_by_role("status").filter(has_text="Not kept yet")).to_contain_text("Added: Horns")
    expect(cell(page, "components-0-name")).to_have_value("Horn, left")

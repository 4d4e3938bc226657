"""A fitter designs a tank from the litres that it has to hold, and prints its dip chart."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from tests.browser.conftest import UPRIGHT, Served, Visit
from tests.browser.pdfs import pdf_behind, words_of

POT = {
    "pot_x_mm": "60",
    "pot_y_mm": "120",
    "pot_length_mm": "200",
    "pot_width_mm": "200",
    "pot_depth_mm": "50",
}
PLACES = {"pickup_x_mm": "160", "pickup_y_mm": "220", "pickup_z_mm": "-40", "stick_x_mm": "400",
          "stick_y_mm": "220"}  # fmt: skip


def test_a_tank_from_wanted_litres_to_its_printed_dip_chart(own_workshop: Served, visit: Visit) -> None:
    """A box of 600 × 200 mm over a pot of 2 L, 5 % of it to stay free. For 57 L the inside has to be 60 L:
    58 L without the pot, and so 483.3 mm wide. With 100 mm on the stick it holds 0.6 · 4.833 · 100 + 2 L."""
    page = visit(own_workshop, "Tomas Kell", UPRIGHT)
    page.goto(own_workshop.url("calc-sheet-new", job_id=own_workshop.numbers["job_id"][0], kind="profile"))
    page.get_by_label("Title of the sheet").fill("Tank for the tour")
    starts_from_a_box(page)
    page.get_by_label("inside the sheet").check()
    write(page, {"width_mm": "400", "wanted_l": "57"} | POT | PLACES)
    write(page, {"sender_lowest_mm": "10", "sender_highest_mm": "190"})
    page.locator("[name=sender]").select_option(label="240 to 33 Ω")
    page.get_by_role("button", name="Work out").tap()
    result = page.locator("#result")
    expect(result).to_contain_text("To take 57 L the width becomes 483.3 mm, measured inside.")
    expect(page.locator("[name=profile-2-z_mm]")).to_have_value("200")  # the box is written out as points
    page.get_by_role("button", name="Keep as revision 1").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Tank for the tour")
    paper = words_of(pdf_behind(page.get_by_role("link", name="Print", exact=True))).casefold()
    for words in ("483.3 mm", "100 31.00", "dash shows", "never weld, cut, grind or drill"):
        assert words in paper, words


def starts_from_a_box(page: Page) -> None:
    """Only the sizes that a box needs are asked for."""
    expect(page.locator("[name=start_length_mm]")).to_be_hidden()
    page.get_by_label("Start from").select_option(label="a box")
    expect(page.locator("[name=start_roof_mm]")).to_be_hidden()
    write(page, {"start_length_mm": "600", "start_height_mm": "200"})


def write(page: Page, figures: dict[str, str]) -> None:
    for name, figure in figures.items():
        page.locator(f"[name={name}]").fill(figure)

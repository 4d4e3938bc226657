"""The walk of a stranger through the demo: from the car in trouble to the paper for its customer."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path

from openpyxl import Workbook
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.conftest import LAPTOP, MANAGER, PINS, UPRIGHT, Served, Visit
from tests.browser.pdfs import pdf_behind, pdf_open, words_of

FITTER = "Rafe Holloway"
SUPPLIERS = ("Ostler", "Ferrand", "Greywater", "Harrow Lane", "Broadstrand", "Emberline", "Plumbline")
OTHER_CUSTOMERS = ("Amara", "Thorne", "Vane")
OTHER_CARS = ("Skua", "Gannet", "Petrel")


def test_a_stranger_walks_the_demo_from_trouble_to_progress_sheet(
    own_workshop: Served, visit: Visit, tmp_path: Path
) -> None:
    manager = visit(own_workshop, MANAGER, LAPTOP)
    reads_why_the_troubled_car_is_late(manager)
    accepts_the_radiator_and_sees_first_start_up_move(manager)
    rejects_the_rods_and_sees_first_start_up_move(manager)
    makes_a_finishing_batch_and_prints_its_note(manager)
    fitter = visit(own_workshop, None, UPRIGHT)
    signs_in_on_the_pin_pad(fitter)
    ticks_three_jobs(fitter)
    sizes_a_tank_and_a_wire(fitter)
    imports_a_job_list_twice(manager, tmp_path)
    prints_the_progress_sheet(manager)


def reads_why_the_troubled_car_is_late(page: Page) -> None:
    page.goto("/")
    worst = page.locator("table.cars tbody tr").first
    expect(worst).to_contain_text("Tern")
    expect(worst).to_contain_text(re.compile(r"\d+ working days short"))
    expect(worst).to_contain_text("Ring Ostler Radiators about: Radiator")
    worst.get_by_role("link", name="Tern", exact=True).click()
    why = page.get_by_role("region", name="What sets the date")
    expect(why.get_by_role("link", name=re.compile("Radiator out since .*days late"))).to_be_visible()
    expect(why).to_contain_text("working days sooner")  # what would help


def accepts_the_radiator_and_sees_first_start_up_move(page: Page) -> None:
    before = first_start_up(page, "Tern")
    page.get_by_role("link", name="Waiting on suppliers").click()
    line = page.locator("li.out", has_text="Radiator · Tern")
    line.get_by_role("link", name="Goods in").click()
    line.get_by_role("button", name="Accept").click()
    expect(page.get_by_role("status")).to_contain_text("Radiator")
    expect(line).to_have_count(0)
    after = first_start_up(page, "Tern")
    assert after != before
    expect(page.get_by_role("region", name="What sets the date")).not_to_contain_text("Radiator out")


def rejects_the_rods_and_sees_first_start_up_move(page: Page) -> None:
    before = first_start_up(page, "Skua")
    page.get_by_role("link", name="Waiting on suppliers").click()
    line = page.locator("li.out", has_text="Gear linkage rods · Skua")
    line.get_by_role("link", name="Goods in").click()
    line.get_by_role("button", name="Reject").click()
    expect(line).to_contain_text("A rejection needs its reason")
    line.get_by_label("What is wrong, or how they were lost").fill("thread cut too shallow")
    line.get_by_role("button", name="Reject").click()
    expect(page.get_by_role("status")).to_contain_text("Gear linkage rods")
    assert first_start_up(page, "Skua") != before
    page.get_by_role("region", name="Parts").get_by_role("link", name="Gear linkage rods", exact=True).click()
    expect(page.get_by_role("main")).to_contain_text("thread cut too shallow")


def makes_a_finishing_batch_and_prints_its_note(page: Page) -> None:
    page.get_by_role("link", name="Finishing", exact=True).click()
    lot = page.locator("section.lot", has_text="Powder coat")
    lot.get_by_text("making up a batch by hand").click()
    expect(lot.get_by_role("button", name="Make up a batch")).to_be_visible()
    for number in range(2):  # nothing of it is ready, so nothing is ticked
        lot.get_by_role("checkbox").nth(number).check()
    lot.get_by_role("button", name="Make up a batch").click()
    effects = page.get_by_role("region", name="What it does")
    expect(effects.get_by_role("button", name="Make the batch of 2 parts")).to_be_visible()
    page.get_by_role("checkbox").first.uncheck()  # what it does is worked out again as one presses
    expect(effects.get_by_role("button", name="Make the batch of 1 part")).to_be_visible()
    page.get_by_role("checkbox").first.check()
    effects.get_by_label("Note").fill("Same black as the sample plate.")
    effects.get_by_role("button", name="Make the batch of 2 parts").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Batch")
    note = words_of(pdf_behind(page.get_by_role("link", name="Goods-out note")))
    for words in ("Kiln Row Powder Coating", "satin black", "Mask", "Same black as the sample plate."):
        assert words in note


def signs_in_on_the_pin_pad(page: Page) -> None:
    page.goto("/today/")
    page.get_by_role("link", name=FITTER).tap()
    for digit in PINS[FITTER]:
        page.get_by_role("button", name=digit, exact=True).tap()
    page.locator(".keys").get_by_role("button", name="Sign in").tap()
    expect(page.get_by_role("heading", level=1, name="Today")).to_be_visible()


def ticks_three_jobs(page: Page) -> None:
    for number in (1, 2, 3):
        box = page.locator("button.box:visible").first
        title = (box.get_attribute("aria-label") or "").removeprefix("Tick done: ").rpartition(",")[0]
        box.tap()
        expect(page.get_by_role("status")).to_contain_text(f"“{title}” is ticked done")
        ticked = page.locator("a[id^=tick-]", has_text=title)  # ticked, or waiting for a signature
        expect(ticked).to_be_visible()
        expect(page.locator("a[id^=tick-]").nth(number - 1)).to_be_visible()


def sizes_a_tank_and_a_wire(page: Page) -> None:
    page.get_by_role("link", name="Cars").tap()
    page.get_by_role("link", name="Petrel", exact=True).tap()
    page.locator("main .line a.t").first.tap()
    page.get_by_role("link", name="Calc sheets").tap()
    page.get_by_role("link", name="New tank sheet", exact=True).tap()
    page.get_by_label("Title of the sheet").fill("Main fuel tank")
    # 600 × 400 × 200 mm inside is 48 L; less 5 % for expansion and 10 mm below the pickup, 43.2 L
    for label, value in (("Length, mm", "604"), ("Width, mm", "404"), ("Height, mm", "204")):
        page.get_by_label(label, exact=True).fill(value)
    page.get_by_role("button", name="Work out").tap()
    expect(page.locator("#result")).to_contain_text("43.20 L usable")
    page.get_by_role("button", name="Keep as revision 1").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Main fuel tank")
    assert "43.2" in words_of(pdf_behind(page.get_by_role("link", name="Print", exact=True)))
    page.get_by_role("link", name="Calc sheets").tap()
    page.get_by_role("link", name="New circuit sheet").tap()
    page.get_by_label("Title of the sheet").fill("Headlamp feed")
    # 3 % of 12 V less 0.1 V for the body leaves 0.26 V: 7.1 mΩ/m at 9.2 A over 4 m. ISO 6722-1:2011, table 5,
    # allows 7.6 mΩ/m for 2.5 mm² and 4.71 mΩ/m for 4 mm², both at 20 °C (from memory).
    page.get_by_label("Current, A").fill("9.2")
    page.get_by_label("Length one way, m").fill("4")
    page.get_by_role("button", name="Work out").tap()
    expect(page.locator("#result .answer")).to_contain_text("4 mm²")
    page.get_by_role("button", name="Keep as revision 1").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Headlamp feed")


def imports_a_job_list_twice(page: Page, folder: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    rows = [
        ("area", "title", "key", "hours likely (h)", "after"),
        ("trim", "Make a tool roll", "tool-roll", 6, ""),
        ("trim", "Fit the tool roll behind the seat", "tool-roll-fit", "1:30", "tool-roll"),
    ]
    for row in rows:
        sheet.append(row)
    file = folder / "more jobs.xlsx"
    book.save(file)
    page.goto("/")
    page.get_by_role("link", name="Tern", exact=True).click()
    page.get_by_role("link", name="Read a list").click()
    page.get_by_label("Job list", exact=True).set_input_files(file)
    page.get_by_role("button", name="Look at what it holds").click()
    expect(page.get_by_role("heading", name="To be added")).to_be_visible()
    expect(page.get_by_role("region", name="New jobs")).to_contain_text("Make a tool roll")
    page.get_by_role("button", name="Add to Tern").click()
    expect(page.get_by_role("status")).to_contain_text("2 jobs")
    expect(page.get_by_role("link", name="Fit the tool roll behind the seat", exact=True)).to_have_count(1)

    page.get_by_role("link", name="Read a list").click()
    page.get_by_label("Job list", exact=True).set_input_files(file)
    page.get_by_role("button", name="Look at what it holds").click()
    expect(page.get_by_role("heading", name="Nothing new")).to_be_visible()
    expect(page.get_by_role("button", name="Add to Tern")).to_have_count(0)

    sheet.append(("no such area", "Polish the sill plates", "", -3, ""))
    book.save(file)
    page.get_by_role("link", name="Send another file").click()
    page.get_by_label("Job list", exact=True).set_input_files(file)
    page.get_by_role("button", name="Look at what it holds").click()
    expect(page.get_by_role("heading", name="Nothing can be added yet")).to_be_visible()
    expect(page.locator(".faults")).to_contain_text("row 4, area")
    expect(page.locator(".faults")).to_contain_text("row 4, hours likely")
    expect(page.get_by_role("button", name="Add to Tern")).to_have_count(0)


def prints_the_progress_sheet(page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="Tern", exact=True).click()
    page.get_by_role("link", name="Progress sheet").click()
    page.get_by_label("A few words of your own").fill("The radiator is here at last.")
    here = page.url
    page.get_by_role("button", name="Print and keep a copy").click()
    pdf = pdf_open(page, left=here)
    words = words_of(pdf)
    for there in ("Tern", "Mrs A. Quill", "The radiator is here at last."):
        assert there in words
    for private in (*SUPPLIERS, *OTHER_CUSTOMERS, *OTHER_CARS, "£"):
        assert private not in words
    assert len(PdfReader(BytesIO(pdf)).pages) <= 2


def first_start_up(page: Page, car: str) -> str:
    """The day that stands in the car's title block."""
    page.goto("/")
    page.get_by_role("link", name=car, exact=True).click()
    expect(page.get_by_role("region", name="What sets the date")).not_to_have_attribute("aria-busy", "true")
    return page.locator("header.block > div", has_text="First start-up").locator("b").first.inner_text()

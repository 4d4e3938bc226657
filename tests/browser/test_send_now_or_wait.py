"""From three answers to a planned batch and its goods-out note, in the browser."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.browser.conftest import LAPTOP, MANAGER, Served, Visit
from tests.browser.pdfs import pdf_behind, words_of

ANSWERS = ("Each when ready", "2 lots", "One lot, wait for all")
PARTS = ("Airbox clips", "Hub spacers", "Handbrake quadrant", "Steering column clamps")


def test_an_answer_is_chosen_and_its_batch_goes_on_paper(own_workshop: Served, visit: Visit) -> None:
    page = visit(own_workshop, MANAGER, LAPTOP)
    compares_three_answers(page)
    looks_at_how_they_were_worked_out(page)
    chooses_one_lot(page)
    prints_the_note(page)


def compares_three_answers(page: Page) -> None:
    page.goto("/finishing/")
    lot = page.locator("section.lot", has=page.get_by_role("heading", name=re.compile("Zinc plate, yellow")))
    for title in ANSWERS:
        expect(lot.get_by_role("columnheader", name=title)).to_be_visible()
        expect(lot.get_by_role("button", name=f"Choose this answer, {title}")).to_be_visible()
    expect(lot.get_by_role("row", name=re.compile("^Cost"))).to_contain_text(re.compile("£.*£.*£"))
    expect(lot.get_by_role("row", name=re.compile("^Working days lost"))).to_contain_text("none")
    expect(lot.get_by_role("row", name=re.compile("^Who pays"))).to_contain_text("Gannet")
    expect(lot.get_by_role("img", name=re.compile("^Cost against days lost"))).to_be_visible()
    ready = lot.get_by_role("checkbox", name=re.compile("Airbox clips"))
    expect(ready).to_be_checked()
    expect(lot.get_by_role("checkbox", name=re.compile("Hub spacers"))).not_to_be_checked()
    lot.get_by_role("link", name="How this was worked out").click()


def looks_at_how_they_were_worked_out(page: Page) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text("Zinc plate")
    for part in PARTS:
        expect(page.get_by_role("region", name="What went in")).to_contain_text(part)
    expect(page.get_by_role("region", name="How this was worked out")).to_contain_text("£140 at least")
    page.get_by_label("A day of first start-up is worth").fill("1")
    page.get_by_role("button", name="Work it out again").click()
    expect(page.locator(".verdict")).to_contain_text("One lot, wait for all")


def chooses_one_lot(page: Page) -> None:
    page.get_by_role("button", name="Choose this answer, One lot, wait for all").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Batch")
    expect(page.get_by_role("status")).to_contain_text("Planned: batch")
    pieces = page.get_by_role("region", name="Pieces")
    for part in PARTS:
        expect(pieces).to_contain_text(part)
    expect(page.get_by_role("region", name="Waiting", exact=True)).to_contain_text("One lot, wait for all: £")
    # the dates with people come by themselves, after the page
    leaving = page.get_by_role("region", name="Leaving now, or waiting")
    expect(leaving).to_contain_text("four in five", timeout=20_000)
    expect(leaving).not_to_contain_text("work it out")


def prints_the_note(page: Page) -> None:
    note = words_of(pdf_behind(page.get_by_role("link", name="Goods-out note")))
    for words in ("Ferrand Plating", "yellow", *PARTS):
        assert words in note
    assert "£" not in note

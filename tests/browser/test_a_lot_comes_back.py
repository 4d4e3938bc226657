"""A zinc lot across cars, from the answers that it is chosen by to what is done about what comes back short.

The lot is the demo's yellow zinc; which parts are in it is read from the page.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from datetime import date, timedelta
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import LAPTOP, MANAGER, UPRIGHT, Served, Visit
from tests.browser.pdfs import pdf_behind, words_of

FITTER = "Rafe Holloway"
MOVES_LATER = re.compile(r"[A-Z][a-z -]+ of \w+ moves from .* to .*: \d+ working days? later\.")
MOVES_SOONER = re.compile(r"[A-Z][a-z -]+ of \w+ moves from .* to .*: \d+ working days? sooner\.")


def test_a_lot_is_planned_sent_received_in_part_and_rejected_in_part(
    own_workshop: Served, visit: Visit, tmp_path: Path
) -> None:
    manager = visit(own_workshop, MANAGER, LAPTOP)
    chooses_the_answer(manager)
    code = prints_note_and_labels(manager, tmp_path)
    sends_it(manager)
    fitter = visit(own_workshop, FITTER, UPRIGHT)
    scans_a_label_of_it(fitter, code)
    many = takes_in_all_but_two(fitter)
    wrong = rejects_one_of_the_others(fitter)
    sees_both_on_the_chase_list_and_the_part(manager, many, wrong)
    sees_the_date_follow_a_new_promise(manager, many)
    lets_the_others_go_on(manager, many)


def chooses_the_answer(page: Page) -> None:
    page.goto("/finishing/")
    lot = page.locator("section.lot", has_text="yellow")
    expect(lot.get_by_role("group", name=re.compile("Answers"))).to_be_visible()
    lot.get_by_role("button", name=re.compile("Choose this")).first.click()
    expect(page.get_by_role("status")).to_contain_text("atch")
    expect(page.locator("section.lot", has_text="yellow")).to_have_count(0)
    page.get_by_role("link", name=re.compile(r"Batch \d+: Zinc plate, yellow")).first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Batch")


def prints_note_and_labels(page: Page, folder: Path) -> str:
    """Reads the first label back with a decoder that is not ours (zxing-cpp)."""
    note = words_of(pdf_behind(page.get_by_role("link", name="Goods-out note")))
    assert "Ferrand Plating" in note
    assert "Counted out" in note
    labels = pdf_behind(page.get_by_role("link", name="Labels for bags"))
    if shutil.which("pdftoppm") is None:
        pytest.skip("pdftoppm (poppler-utils) is not installed")
    (folder / "labels.pdf").write_bytes(labels)
    subprocess.run(["pdftoppm", "-r", "150", "-png", "labels.pdf", "labels"], cwd=folder, check=True)
    (sheet,) = folder.glob("labels*.png")
    found = [code.text for code in zxingcpp.read_barcodes(Image.open(sheet))]
    assert len(found) == 2
    assert all("/label/" in text for text in found)
    return found[0]


def sends_it(page: Page) -> None:
    page.get_by_role("button", name="Record goods out").click()
    expect(page.get_by_role("status")).to_contain_text("is out")
    expect(page.get_by_role("link", name="Goods in", exact=True)).to_be_visible()


def scans_a_label_of_it(page: Page, code: str) -> None:
    page.goto(code)
    expect(page.get_by_role("heading", name="Goods in")).to_be_visible()
    expect(page.get_by_role("button", name=re.compile("^Accept all"))).to_be_visible()
    page.get_by_role("link", name="Take in several at once").tap()
    page.get_by_label("Scan a label").fill(code)
    page.get_by_label("Scan a label").press("Enter")
    expect(page.get_by_role("heading", name="On the list · 1")).to_be_visible()


def takes_in_all_but_two(page: Page) -> str:
    """Twelve went out, ten are in the box: gives back the name of the part."""
    page.goto("/goods-in/")
    row = page.locator("li.came", has=page.get_by_placeholder("all 12")).filter(has_text="zinc plate")
    name = name_of(row)
    row.get_by_role("checkbox").check()
    row.get_by_placeholder("all 12").fill("10")
    page.get_by_role("button", name="Take in what is ticked").tap()
    expect(page.get_by_role("status")).to_contain_text("of 1 some pieces are still out")
    expect(page.locator("li.came", has_text=name).get_by_placeholder("all 2")).to_be_visible()
    return name


def rejects_one_of_the_others(page: Page) -> str:
    row = page.locator("li.came", has=page.get_by_placeholder("all 4")).filter(has_text="zinc plate")
    name = name_of(row)
    row.get_by_role("link", name="Not right?").tap()
    page.get_by_role("spinbutton", name="Right").fill("3")
    page.get_by_role("spinbutton", name="Wrong").fill("1")
    page.get_by_role("button", name="Record the count").tap()
    expect(page.get_by_role("main")).to_contain_text("A rejection needs its reason")
    page.get_by_label("What is wrong, or how they were lost").fill("dull patches")
    page.get_by_role("button", name="Record the count").tap()
    expect(page.get_by_role("status")).to_contain_text("is rejected, goods in")
    expect(page.get_by_role("status")).to_contain_text("goes again to Ferrand Plating: line 2")
    expect(page.get_by_role("status")).to_contain_text(re.compile("No date moves|First start-up of"))
    return name


def sees_both_on_the_chase_list_and_the_part(page: Page, many: str, wrong: str) -> None:
    page.goto("/waiting/chase-list/")
    ask = page.locator(".ask", has_text=many)
    expect(ask).to_contain_text("10 of 12 back")
    expect(ask).to_contain_text("where are the other 2?")
    page.goto("/finishing/")
    lot = page.locator("section.lot", has_text="yellow")
    expect(lot).to_contain_text(wrong)  # the one that was wrong waits for the next lot
    lot.get_by_role("link", name=wrong).first.click()
    again = re.compile("1 of 4 rejected, goes again to Ferrand Plating")
    expect(page.get_by_role("main")).to_contain_text(again)
    expect(page.get_by_role("main")).to_contain_text("1 of 4: dull patches")


def sees_the_date_follow_a_new_promise(page: Page, many: str) -> None:
    page.goto("/waiting/")
    line = page.locator("li.out", has_text=many)
    expect(line).to_contain_text("10 of 12 back")
    line.get_by_role("link", name="New promise").click()
    line.get_by_label("Promised for").fill((date.today() + timedelta(days=120)).isoformat())
    line.get_by_role("button", name="Record the promise").click()
    expect(page.get_by_role("status")).to_contain_text(MOVES_LATER)


def lets_the_others_go_on(page: Page, many: str) -> None:
    """No job waits for the missing ones any more, so that the date comes back."""
    page.locator("li.out", has_text=many).get_by_role("link", name="Missing pieces").click()
    expect(page.get_by_role("button", name="Go on without them")).to_be_visible()
    box = page.get_by_role("checkbox").first
    expect(box).to_be_checked()
    box.uncheck()
    page.get_by_role("button", name="Go on without them").click()
    said = page.get_by_role("status")
    expect(said).to_contain_text(f"“{many}, 2 to follow” is a part of its own now, 2 off.")
    expect(said).to_contain_text(MOVES_SOONER)


def name_of(row: Locator) -> str:
    expect(row).to_have_count(1)
    return row.locator("b").inner_text()

"""A fitter takes the loom of a whole car from measured runs to a printed cut list, changes it, and makes it.

What should change is worked out here apart from the program: from the tables as they stand in the browser,
by shortest ways through the runs and by who carries whose current (networkx).
"""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import UPRIGHT, Served, Visit
from tests.browser.pdfs import pdf_behind, words_of

TOUCH_PX = 48
Typed = dict[str, str]


def test_from_measured_runs_to_the_printed_cut_list_and_the_bench(own_workshop: Served, visit: Visit) -> None:
    page = visit(own_workshop, "Ines Brandt", UPRIGHT)
    address = own_workshop.url("calc-sheet-new", job_id=own_workshop.numbers["job_id"][0], kind="loom")
    page.goto(f"{address}?from=generic")
    page.get_by_label("Title of the sheet").fill("Loom for the tour")
    page.get_by_role("button", name="Keep as revision 1").tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Loom for the tour")
    paper = words_of(pdf_behind(page.get_by_role("link", name="Print", exact=True)))
    assert "Cut list, in the order of laying".casefold() in paper.casefold()
    assert "start fires" in paper
    page.get_by_role("button", name="Cut from this revision").tap()
    expect(page.locator("#progress")).to_contain_text("0 of 117")
    other = visit(own_workshop, "Rafe Holloway", UPRIGHT)
    other.goto(page.url)
    through, beside = _a_longer_run(page)
    _a_stronger_blower(page)
    _at_the_bench(page, other, through, beside)


def _a_longer_run(page: Page) -> tuple[set[str], str]:
    """R9, into the left door, 60 mm longer: the wires through it, and no other, are cut longer."""
    typed = _revise(page)
    (line,) = (key for key, value in typed.items() if value == "R9" and key.endswith("-name"))
    through = wires_through("R9", typed)
    assert 3 < len(through) < 60
    run = page.locator(f"[name={line.replace('-name', '-length_mm')}]")
    run.fill(str(int(float(run.input_value())) + 60))
    page.get_by_role("button", name="Keep as revision 2").tap()
    changed = _changed_since(page, 1)
    expect(changed.locator("tbody tr")).to_have_count(len(through))
    assert set(changed.locator("tbody th").all_text_contents()) == through
    assert set(changed.locator("tbody td:nth-child(2)").all_text_contents()) == {"cut length"}
    labels = {typed[f"wires-{number}-label"] for number in lines_of("wires", typed)}
    return through, sorted(labels - through)[0]


def _a_stronger_blower(page: Page) -> None:
    """15 A in place of 10: its fuse and what that fuse feeds; the feed before it has room for 5 A."""
    typed = _revise(page)
    (line,) = (key for key, value in typed.items() if value == "Blower" and key.startswith("components"))
    page.locator(f"[name={line.replace('-name', '-steady_a')}]").fill("15 A")
    page.get_by_role("button", name="Keep as revision 3").tap()
    heading = page.get_by_role("heading", name="What changed since revision 2", exact=True)
    changed = heading.locator("xpath=following-sibling::table[1]")
    expect(changed).to_be_visible()
    own = behind_its_fuse("Blower", typed)
    expect(changed.locator("tbody tr")).to_have_count(len(own))
    assert set(changed.locator("tbody th").all_text_contents()) == own


def _at_the_bench(page: Page, other: Page, through: set[str], beside: str) -> None:
    page.get_by_role("link", name="To the bench").tap()
    expect(page.locator(".wire")).to_have_count(117)
    changing = sorted(through)[0]
    for label in (changing, beside):
        box = page.get_by_role("button", name=f"{label} cut", exact=True)
        size = box.bounding_box()
        assert size is not None
        assert min(size["width"], size["height"]) >= TOUCH_PX
        box.tap()
        expect(box).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#progress")).to_contain_text("2 of 117")
    undone = page.get_by_role("button", name=f"{beside} cut", exact=True)
    undone.tap()
    expect(undone).to_have_attribute("aria-pressed", "false")
    undone.tap()
    expect(undone).to_have_attribute("aria-pressed", "true")

    page.locator(".block a").first.tap()  # the sheet that is cut, and from there the newest
    page.get_by_role("link", name="Revision 3", exact=True).first.tap()
    page.get_by_role("button", name="Cut from this revision").tap()
    expect(page.locator("#changes")).to_contain_text("still to be seen to")
    expect(page.get_by_role("button", name=f"{beside} cut", exact=True)).to_have_attribute(
        "aria-pressed", "true"
    )
    expect(page.get_by_role("button", name=f"{changing} cut", exact=True)).to_have_attribute(
        "aria-pressed", "false"
    )
    expect(page.locator(".changes")).to_contain_text(f"{changing}: cut length")

    stale = other.get_by_role("button", name=f"{changing} laid", exact=True)  # a tablet that was left open
    stale.tap()
    expect(other.locator("[role=alert]")).to_contain_text("is not as you saw it")
    expect(stale).to_have_attribute("aria-pressed", "false")
    fresh = other.get_by_role("button", name=f"{beside} labelled", exact=True)
    fresh.tap()
    expect(fresh).to_have_attribute("aria-pressed", "true")


def _revise(page: Page) -> Typed:
    """Open the newest revision's tables, and give what stands in them."""
    if page.get_by_role("link", name="Revise", exact=True).count() == 0:
        page.locator(".block a").first.tap()
    page.get_by_role("link", name="Revise", exact=True).tap()
    form = page.locator("form.calc")
    expect(form).to_be_visible()
    found = form.evaluate(
        "form => [...form.querySelectorAll('input[type=text]')].map(i => [i.name, i.value])"
    )
    return dict(found)


def _changed_since(page: Page, revision: int) -> Locator:
    heading = page.get_by_role("heading", name=f"What changed since revision {revision}, from which")
    expect(heading).to_be_visible()
    return heading.locator("xpath=following-sibling::table[1]")


# The expected sets, from the typed tables alone


def lines_of(table: str, typed: Typed) -> Iterator[int]:
    number = 0
    while f"{table}-{number}-{'label' if table == 'wires' else 'name'}" in typed:
        if typed[f"{table}-{number}-{'label' if table == 'wires' else 'name'}"]:
            yield number
        number += 1


def place_of(pin: str) -> str:
    return pin.rpartition("/")[0] or pin


def wires_through(run: str, typed: Typed) -> set[str]:
    runs = nx.Graph()
    for number in lines_of("runs", typed):
        name, start, end, length = (
            typed[f"runs-{number}-{key}"] for key in ("name", "start", "end", "length_mm")
        )
        runs.add_edge(start, end, weight=float(length), name=name)
    joints = {
        typed[f"places-{number}-name"]: typed[f"places-{number}-joint"]
        for number in lines_of("places", typed)
    }
    found = set()
    for number in lines_of("wires", typed):
        start, end = (joints[place_of(typed[f"wires-{number}-{key}"])] for key in ("start", "end"))
        way = nx.shortest_path(runs, start, end, weight="weight")
        if any(runs.edges[one, two]["name"] == run for one, two in nx.utils.pairwise(way)):
            found.add(typed[f"wires-{number}-label"])
    return found


def behind_its_fuse(component: str, typed: Typed) -> set[str]:
    """The last fuse before a component, and the wires from there to it and back from it."""
    joined = nx.Graph()
    for number in lines_of("wires", typed):
        one, other = typed[f"wires-{number}-start"], typed[f"wires-{number}-end"]
        joined.add_edge(one, other, name=typed[f"wires-{number}-label"], kind="wire")
    for table, ends, kind in (("devices", ("fed", "out"), "fuse"), ("links", ("one", "other"), "link")):
        for number in lines_of(table, typed):
            one, other = (typed[f"{table}-{number}-{end}"] for end in ends)
            joined.add_edge(one, other, name=typed[f"{table}-{number}-name"], kind=kind)
    (line,) = (n for n in lines_of("components", typed) if typed[f"components-{n}-name"] == component)
    feed, back = typed[f"components-{line}-feed"], typed[f"components-{line}-returns"]
    supplies = [
        typed[f"places-{n}-name"] for n in lines_of("places", typed) if typed[f"places-{n}-kind"] == "supply"
    ]
    way = nx.shortest_path(joined, feed, supplies[0])
    found = set()
    for one, other in nx.utils.pairwise(way):
        edge = joined.edges[one, other]
        if edge["kind"] != "link":
            found.add(edge["name"])
        if edge["kind"] == "fuse":
            break
    return found | {joined.edges[back, stud]["name"] for stud in joined.neighbors(back)}

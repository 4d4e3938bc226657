"""Every page, for a manager and for a fitter: WCAG 2.2 A and AA, thumbs, keys, no sideways scroll.

The addresses come from the project's own list, the numbers from the demo.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.addresses import NAMES, NOT_A_PAGE, OF_FITTERS, OF_MANAGERS, OF_NOBODY, paths
from tests.browser.conftest import LAPTOP, LYING, MANAGER, UPRIGHT, Served, Visits
from tests.browser.measures import AXE_SCRIPT, faults

WITH_NOTHING = ("cars", "today", "waiting", "finishing", "orders", "suppliers", "people", "workshop-settings")
PageOf = Callable[[str | None], Page]

SCREENS = {"tablet upright": UPRIGHT, "tablet lying": LYING, "laptop": LAPTOP}
PAGE, NO_SUCH_METHOD = 200, 405
FITTER = "Rafe Holloway"
ONLY_WHEN_EMPTY = "first-manager"  # walked in the workshop with nothing


@pytest.fixture(scope="module")
def visits(chromium: Browser) -> Iterator[Visits]:
    """Pages kept open from test to test: a new profile takes longer than a look at most pages."""
    visits = Visits(chromium)
    yield visits
    visits.close()


@pytest.fixture(scope="module")
def page_of(served: Served, visits: Visits) -> Callable[[str | None], Page]:
    @cache
    def page(who: str | None) -> Page:
        opened = visits(served, who)
        opened.context.add_init_script(AXE_SCRIPT)
        return opened

    return page


@pytest.fixture(autouse=True)
def _no_complaints(visits: Visits) -> Iterator[None]:
    yield
    visits.check()


@pytest.mark.parametrize("name", OF_NOBODY)
def test_who_is_not_signed_in_can_use_it(name: str, served: Served, page_of: PageOf) -> None:
    if name != ONLY_WHEN_EMPTY:
        assert_usable(page_of(None), paths(name, served.numbers, all_faces=False))


@pytest.mark.parametrize("name", OF_MANAGERS)
def test_a_manager_can_use_it_on_every_screen_and_ground(name: str, served: Served, page_of: PageOf) -> None:
    assert_usable(page_of(MANAGER), paths(name, served.numbers, all_faces=True))


@pytest.mark.parametrize("name", OF_FITTERS)
def test_a_fitter_can_use_it_on_every_screen_and_ground(name: str, served: Served, page_of: PageOf) -> None:
    assert_usable(page_of(FITTER), paths(name, served.numbers, all_faces=False))


def test_a_workshop_with_nothing_can_be_used_from_its_first_manager_on(
    empty_workshop: Served, visits: Visits
) -> None:
    page = visits(empty_workshop, None)
    page.context.add_init_script(AXE_SCRIPT)
    page.goto("/")
    wrong = faults(page, SCREENS)
    for label, words in (
        ("Name of the workshop", "Old Quay Motor Works"),
        ("Your name", "Ada Merrow"),
        ("Password", "a long enough password"),
        ("The same again", "a long enough password"),
    ):
        page.get_by_label(label, exact=True).fill(words)
    page.locator("button.main").click()
    expect(page.get_by_role("button", name="Sign out Ada Merrow")).to_be_visible()
    page.goto("/")
    expect(page.get_by_role("link", name="Start a car").first).to_be_visible()
    for name in (
        "cars",
        "today",
        "waiting",
        "finishing",
        "orders",
        "suppliers",
        "people",
        "workshop-settings",
    ):
        page.goto(empty_workshop.url(name))
        wrong += [f"{name} {fault}" for fault in faults(page, SCREENS)]
    assert wrong == []


def assert_usable(page: Page, addresses: list[str]) -> None:
    if page.context.request.get(addresses[0]).status == NO_SUCH_METHOD:
        return  # a press without a page of its own
    wrong: list[str] = []
    for path in addresses:
        page.set_viewport_size(UPRIGHT["viewport"])
        answer = page.goto(path)
        assert answer is not None
        assert answer.status == PAGE, f"{path} answers {answer.status}"
        expect(page.locator(".htmx-request, [aria-busy=true]")).to_have_count(
            0
        )  # what comes later belongs to the page
        wrong += [f"{path} {fault}" for fault in faults(page, SCREENS)]
    if wrong:
        pytest.fail("\n".join(wrong), pytrace=False)


def test_no_address_is_excused_that_is_not_there() -> None:
    assert set(NOT_A_PAGE) <= set(NAMES)

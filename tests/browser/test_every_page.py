"""Every page, for a manager and for a fitter: WCAG 2.2 A and AA, thumbs, keys, no sideways scroll.

The addresses come from the project's own list, the numbers from the demo.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.addresses import NAMES, NOT_A_PAGE, OF_FITTERS, OF_MANAGERS, paths
from tests.browser.conftest import LAPTOP, LYING, MANAGER, UPRIGHT, Served, Visit
from tests.browser.measures import AXE_SCRIPT, faults

SCREENS = {"tablet upright": UPRIGHT, "tablet lying": LYING, "laptop": LAPTOP}
PAGE, NO_SUCH_METHOD = 200, 405
FITTER = "Rafe Holloway"


@pytest.mark.parametrize("name", OF_MANAGERS)
def test_a_manager_can_use_it_on_every_screen_and_ground(name: str, served: Served, visit: Visit) -> None:
    assert_usable(visit(served, MANAGER), paths(name, served.numbers, all_faces=True))


@pytest.mark.parametrize("name", OF_FITTERS)
def test_a_fitter_can_use_it_on_every_screen_and_ground(name: str, served: Served, visit: Visit) -> None:
    assert_usable(visit(served, FITTER), paths(name, served.numbers, all_faces=False))


def assert_usable(page: Page, addresses: list[str]) -> None:
    page.context.add_init_script(AXE_SCRIPT)
    wrong: list[str] = []
    for path in addresses:
        page.set_viewport_size(UPRIGHT["viewport"])
        answer = page.context.request.get(path)
        if answer.status == NO_SUCH_METHOD:
            continue  # a press without a page of its own
        assert answer.status == PAGE, f"{path} answers {answer.status}"
        page.goto(path)
        wrong += [f"{path} {fault}" for fault in faults(page, SCREENS)]
    if wrong:
        pytest.fail("\n".join(wrong), pytrace=False)


def test_no_address_is_excused_that_is_not_there() -> None:
    assert set(NOT_A_PAGE) <= set(NAMES)

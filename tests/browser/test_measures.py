"""The measures find what is planted: else a page walk without findings would prove nothing."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from tests.browser import measures
from tests.browser.conftest import LAPTOP, Served, Visit


@pytest.mark.parametrize(
    ("planted", "measure", "said"),
    [
        ('<img src="/static/mark.svg">', measures.axe_violations, "image-alt"),
        ('<p class="pale">pale words</p>', measures.axe_violations, "color-contrast"),
        ("<button>Go</button>", measures.small_targets, "button"),
        ('<label>Take <input type="checkbox"></label>', measures.small_targets, "checkbox"),
        ('<div class="broad">wide</div>', measures.sideways_scroll, "broad"),
        ('<a class="bare" href="/">on</a>', measures.unseen_focus, "bare"),
    ],
)
def test_a_planted_fault_is_found(
    planted: str, measure: Callable[[Page], object], said: str, served: Served, visit: Visit
) -> None:
    page = visit(served, None, LAPTOP, bypass_csp=True)
    page.context.add_init_script(measures.AXE_SCRIPT)
    page.goto("/sign-in/")
    page.add_style_tag(
        content=".pale { color: #eee } .broad { width: 3000px } .bare:focus { outline: none } "
        "main > button { all: unset }"
    )
    assert not measure(page)
    page.evaluate(
        "(planted) => document.querySelector('main').insertAdjacentHTML('beforeend', planted)", planted
    )
    assert said in str(measure(page))


def test_a_complaint_of_the_page_fails_the_test(served: Served, visit: Visit) -> None:
    page = visit(served, None, LAPTOP)
    page.goto("/sign-in/")
    visit.expect_complaint("Content Security Policy")
    page.evaluate("() => document.body.insertAdjacentHTML('beforeend', '<p style=\"color: red\">no</p>')")
    page.evaluate("() => document.body.offsetHeight")

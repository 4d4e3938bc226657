"""Every address of the project × nobody, a fitter, a manager.

The addresses are read from the project itself, so that none can be forgotten.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import get_resolver

from tests.builds.accounts.addresses import NAMES, PATTERNS, address_of, patterns_of
from tests.builds.accounts.roles import EVERYBODY, MANAGERS_ONLY, PRIVATE, WITHOUT_SIGNING_IN

COST_SHOWN = re.compile(r"4,?321[.]07")
REFUSED, NO_SUCH_METHOD = 403, 405


def answers(person: Any, address: str) -> list[Any]:
    """To a look and to an empty press, each with a session of its own."""
    given = []
    for method in ("get", "post"):
        client = Client()
        if person is not None:
            client.force_login(person)
        given.append(getattr(client, method)(address))
    return given


def test_every_address_stands_in_exactly_one_list_and_no_list_holds_another() -> None:
    listed = [*WITHOUT_SIGNING_IN, *MANAGERS_ONLY, *EVERYBODY]
    assert sorted(listed) == NAMES


def test_every_address_has_a_name_of_its_own() -> None:
    names = [pattern.name for pattern in patterns_of(get_resolver("config.urls"))]
    assert None not in names
    assert len(names) == len(set(names))


def test_the_marks_on_the_views_agree_with_the_lists() -> None:
    marked = {name for name in NAMES if getattr(PATTERNS[name].callback, "for_managers", False)}
    open_to_all = {name for name in NAMES if not getattr(PATTERNS[name].callback, "login_required", True)}
    assert (sorted(marked), sorted(open_to_all)) == (sorted(MANAGERS_ONLY), sorted(WITHOUT_SIGNING_IN))


@pytest.mark.parametrize("name", NAMES)
def test_nobody_is_asked_to_sign_in(name: str, fitter: Any) -> None:
    for answer in answers(None, address_of(name, {"person_id": fitter.pk, "kind": "tank"})):
        asked = answer.status_code == 302 and answer.url.startswith("/sign-in/?next=")
        assert asked is (name not in WITHOUT_SIGNING_IN)


@pytest.mark.parametrize("name", NAMES)
def test_a_fitter_is_refused_what_is_for_managers_and_sees_no_customer_and_no_cost(
    name: str, everything: dict[str, Any], fitter: Any
) -> None:
    given = answers(fitter, address_of(name, everything))
    codes = {answer.status_code for answer in given}
    if name in MANAGERS_ONLY:
        assert REFUSED in codes
        assert codes <= {REFUSED, NO_SUCH_METHOD}
    else:
        assert REFUSED not in codes
    for page in filter(None, map(page_text, given)):
        assert PRIVATE.lower() not in page.lower()
        assert COST_SHOWN.search(page) is None


@pytest.mark.parametrize("name", NAMES)
def test_a_manager_is_refused_nothing(name: str, everything: dict[str, Any], manager: Any) -> None:
    codes = [answer.status_code for answer in answers(manager, address_of(name, everything))]
    assert REFUSED not in codes


@pytest.mark.parametrize("name", ["car", "part"])
def test_a_manager_sees_what_a_fitter_does_not(name: str, everything: dict[str, Any], manager: Any) -> None:
    """Else the search for it above would find nothing for the wrong reason."""
    look, _ = answers(manager, address_of(name, everything))
    page = page_text(look) or ""
    assert PRIVATE.lower() in page.lower() or COST_SHOWN.search(page)


def page_text(answer: Any) -> str | None:
    """The words of a page; nothing for a picture or a PDF."""
    is_page = answer.headers.get("Content-Type", "").startswith("text/") and not answer.streaming
    return answer.content.decode() if is_page else None

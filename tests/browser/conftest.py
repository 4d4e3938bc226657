"""A real browser on a real server: `manage.py serve` on a copy of the demo, and Chromium.

`served` is one workshop per worker for tests that only look; `own_workshop` is a fresh copy for a test that
writes. `visit` opens pages as somebody on one of our three screens, and fails the test afterwards for
anything that the page or the server complained of.
"""

from __future__ import annotations

import fcntl
import json
import os
import re
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, BrowserContext, Page, StorageState, expect, sync_playwright

ROOT = Path(__file__).resolve().parents[2]

UPRIGHT = {"viewport": {"width": 810, "height": 1080}, "has_touch": True}
LYING = {"viewport": {"width": 1080, "height": 810}, "has_touch": True}
LAPTOP = {"viewport": {"width": 1440, "height": 900}}

MANAGER = "Maud Ellery"
MANAGER_PASSWORD = "salt-marsh-lantern"
PINS = {"Rafe Holloway": "4821", "Ines Brandt": "7305", "Tomas Kell": "1968", "Wren Abara": "2750"}

NO_CHROMIUM = (
    "The browser tests need Chromium: install it (Debian: apt-get install --no-install-recommends chromium) "
    "or let FO_CHROMIUM name its program."
)


expect.set_options(timeout=20_000)  # a loaded machine is slow, not wrong


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@dataclass(frozen=True)
class Served:
    """A running workshop of its own."""

    address: str
    folder: Path
    numbers: dict[str, list[Any]]
    signed_in: dict[str, StorageState] = field(default_factory=dict)

    def url(self, name: str, **numbers: Any) -> str:
        return self.address + reverse(name, kwargs=numbers)


def _environment(folder: Path) -> dict[str, str]:
    """Ours alone: no setting of the person who runs the tests reaches the server."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("FO_", "DATABASE_URL"))}
    return kept | {"FO_DATA_DIR": str(folder), "PYTHONUNBUFFERED": "1"}


@pytest.fixture(scope="session")
def stage(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data folder that every server starts from, made once for all workers of a run."""
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base
    folder = shared / "browser-stage"
    with (shared / "browser-stage.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (folder / "numbers.json").exists():
            folder.mkdir(exist_ok=True)
            made = subprocess.run(
                [sys.executable, "-m", "tests.browser.stage"],
                cwd=ROOT,
                env=_environment(folder),
                capture_output=True,
                text=True,
            )
            if made.returncode:
                pytest.fail(f"The demo for the browser tests was not made:\n{made.stderr}", pytrace=False)
    return folder


@contextmanager
def serving(stage: Path, folder: Path) -> Iterator[Served]:
    """Serve a copy of the stage until the block ends; a traceback in the server's log fails it."""
    shutil.copytree(stage, folder)
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    log = folder / "server.log"
    with log.open("w") as errors:
        server = subprocess.Popen(
            [sys.executable, "manage.py", "serve", "--port", str(port)],
            cwd=ROOT,
            env=_environment(folder),
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
        )
        assert server.stdout is not None
        try:
            if not any("Firing Order is at" in line for line in server.stdout):
                pytest.fail(f"The server did not start:\n{log.read_text()}", pytrace=False)
            numbers = json.loads((folder / "numbers.json").read_text())
            yield Served(f"http://127.0.0.1:{port}", folder, numbers)
        finally:
            server.terminate()
            server.communicate(timeout=20)
    if "Traceback" in log.read_text():
        pytest.fail(f"The server met a fault:\n{log.read_text()}", pytrace=False)


@pytest.fixture(scope="session")
def served(stage: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving(stage, tmp_path_factory.mktemp("served") / "data") as running:
        yield running


@pytest.fixture
def empty_workshop(stage: Path, tmp_path: Path) -> Iterator[Served]:
    """As a workshop finds it on its first morning without the demo: nobody may sign in yet."""
    copy = tmp_path / "stage"
    shutil.copytree(stage, copy)
    (copy / "empty.sqlite3").replace(copy / "firing_order.sqlite3")
    with serving(copy, tmp_path / "data") as running:
        yield running


@pytest.fixture
def own_workshop(stage: Path, tmp_path: Path) -> Iterator[Served]:
    with serving(stage, tmp_path / "data") as running:
        yield running


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    program = os.environ.get("FO_CHROMIUM") or next(
        filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None
    )
    if program is None:
        pytest.fail(NO_CHROMIUM, pytrace=False)
    flags = [
        "--disable-quic",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--disable-gpu",
        "--disable-dev-shm-usage",  # a container's own is too small for several pages
    ]
    if os.geteuid() == 0:  # Chromium's own sandbox refuses to run as root
        flags.append("--no-sandbox")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=flags)
        yield browser
        browser.close()


@dataclass
class Visits:
    """Opens pages, and remembers what they complained of."""

    browser: Browser
    complaints: list[str] = field(default_factory=list)
    expected: list[str] = field(default_factory=list)
    contexts: list[BrowserContext] = field(default_factory=list)

    def __call__(
        self, workshop: Served, who: str | None, screen: dict[str, Any] = UPRIGHT, **options: Any
    ) -> Page:
        """A page of a new browser profile, signed in as that person and nowhere yet."""
        state = self._state(workshop, who) if who else None
        context = self.browser.new_context(
            base_url=workshop.address,
            locale="en-GB",
            storage_state=state,
            reduced_motion="reduce",  # a colour half-way between two is not one that we chose
            **(screen | options),
        )
        context.set_default_timeout(15_000)
        self.contexts.append(context)
        context.on("page", self._watch)
        # the browser asks for it beside a PDF, where no page can name our own picture
        context.route("**/favicon.ico", lambda route: route.fulfill(status=204))
        return context.new_page()

    def expect_complaint(self, pattern: str) -> None:
        """What a test provokes: it must come, and only it may."""
        self.expected.append(pattern)

    def _state(self, workshop: Served, who: str) -> StorageState:
        if who not in workshop.signed_in:
            page = self(workshop, None)
            sign_in(page, who)
            workshop.signed_in[who] = page.context.storage_state()
        return workshop.signed_in[who]

    def _watch(self, page: Page) -> None:
        page.on("console", lambda said: said.type == "error" and self.complaints.append(said.text))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def close(self) -> None:
        for context in self.contexts:
            context.close()
        self.check()

    def check(self) -> None:
        """Fail for what was complained of and not expected, or expected and not complained of."""
        unmet = [words for words in self.expected if not any(re.search(words, c) for c in self.complaints)]
        unexpected = [c for c in self.complaints if not any(re.search(words, c) for words in self.expected)]
        self.complaints.clear()
        self.expected.clear()
        assert (unexpected, unmet) == ([], [])


@pytest.fixture
def visit(chromium: Browser) -> Iterator[Visits]:
    visits = Visits(chromium)
    yield visits
    visits.close()


def sign_in(page: Page, who: str) -> None:
    """By hand, as people do: a manager with the password, a fitter by name and PIN."""
    answer = page.goto("/sign-in/")
    assert answer is not None
    assert answer.ok, f"the sign-in page answers {answer.status}"
    if who == MANAGER:
        page.get_by_role("textbox", name="Name").fill(MANAGER)
        page.get_by_label("Password").fill(MANAGER_PASSWORD)
        page.locator("button.main:visible").click()
    else:
        page.get_by_role("link", name=who).click()
        page.get_by_label("PIN").fill(PINS[who])
        # the pad takes the place of the page's own button as soon as its script runs
        page.locator(".keys").get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda address: "/sign-in/" not in address)


Visit = Callable[..., Page]

"""`make screenshots`: the pictures of the README, taken from a fresh demo by Debian's Chromium."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from PIL import Image

from builds.demo.cast import MANAGER_PASSWORD, PEOPLE

COLOURS = 128  # a sheet of ruled paper needs no more
WAIT_S = 90  # for a demo made from nothing on a slow machine
# Nothing but our own server is to be asked for anything.
QUIET = ("--disable-quic", "--disable-background-networking", "--disable-component-update", "--disable-sync")


@dataclass(frozen=True)
class Picture:
    name: str
    path: str
    width: int
    height: int
    shown_width: int


PICTURES = (
    Picture("cars", "/", 1280, 720, 900),
    Picture("car-sheet", "/cars/1/", 1280, 860, 900),
    Picture("today", "/today/", 810, 1080, 480),
    Picture("finishing", "/finishing/", 1280, 720, 900),
)


class Command(BaseCommand):
    help = "Take the pictures of the README again."

    def handle(self, *args: Any, **options: Any) -> None:
        chromium = shutil.which("chromium")
        if chromium is None:
            raise CommandError("Chromium is missing: apt-get install --no-install-recommends chromium")
        folder = Path(settings.BASE_DIR) / "docs" / "screenshots"
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory() as data, _demo_server(Path(data)) as address:
            _take(chromium, address, folder)
        self.stdout.write(f"{len(PICTURES)} pictures in {folder.relative_to(settings.BASE_DIR)}")


@contextmanager
def _demo_server(data: Path) -> Iterator[str]:
    port = _free_port()
    environment = {**os.environ, "FO_DATA_DIR": str(data), "DATABASE_URL": ""}
    command = [sys.executable, "manage.py", "serve", "--port", str(port)]
    server = subprocess.Popen(
        command, cwd=settings.BASE_DIR, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        _wait_for(port, server)
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait(timeout=20)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def _wait_for(port: int, server: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + WAIT_S
    while time.monotonic() < end:
        if server.poll() is not None:
            raise CommandError("The demo server stopped by itself; start it with “make run” to see why.")
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.2)
    raise CommandError(f"The demo server did not answer within {WAIT_S} s.")


def _take(chromium: str, address: str, folder: Path) -> None:
    from playwright.sync_api import sync_playwright  # needed by nobody who only runs the workshop

    sandbox = ("--no-sandbox",) if os.geteuid() == 0 else ()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=[*QUIET, *sandbox])
        page = browser.new_page(locale="en-GB")
        page.goto(f"{address}/sign-in/")
        page.fill("input[name=name]", PEOPLE[0].name)
        page.fill("input[name=password]", MANAGER_PASSWORD)
        page.press("input[name=password]", "Enter")
        page.wait_for_url(f"{address}/")
        for picture in PICTURES:
            page.set_viewport_size({"width": picture.width, "height": picture.height})
            page.goto(f"{address}{picture.path}")
            page.locator('main [aria-busy="true"]').first.wait_for(state="detached")  # dates with people
            _save(page.screenshot(), folder / f"{picture.name}.png", picture.shown_width)
        browser.close()


def _save(content: bytes, path: Path, width: int) -> None:
    image = Image.open(BytesIO(content)).convert("RGB")
    size = (width, round(image.height * width / image.width))
    image.resize(size, Image.Resampling.LANCZOS).quantize(COLOURS).save(path, optimize=True)

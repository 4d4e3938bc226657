"""`manage.py serve` from an empty folder and again: what a person at the keyboard sees.

With FO_TEST_DATABASE_URL=postgres://… the same walk is done in that database, which must be empty.
"""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
OTHER_DATABASE = os.environ.get("FO_TEST_DATABASE_URL", "")


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    return {"PATH": os.environ["PATH"], "FO_DATA_DIR": str(tmp_path / "data")}


@pytest.fixture(
    params=[
        pytest.param("", id="sqlite"),
        pytest.param(
            OTHER_DATABASE,
            id="postgresql",
            marks=pytest.mark.skipif(
                not OTHER_DATABASE, reason="set FO_TEST_DATABASE_URL to try PostgreSQL (an empty database)"
            ),
        ),
    ]
)
def either_database(request: pytest.FixtureRequest, environment: dict[str, str]) -> dict[str, str]:
    return {**environment, "DATABASE_URL": request.param}


@contextmanager
def serving(environment: dict[str, str], *arguments: str) -> Iterator[tuple[str, list[str], list[str]]]:
    """Start the server, wait for its address; afterwards press Ctrl-C and collect what else it says."""
    with socket.socket() as finder:
        finder.bind(("127.0.0.1", 0))
        port = str(finder.getsockname()[1])
    server = subprocess.Popen(
        [sys.executable, "-X", "utf8", str(ROOT / "manage.py"), "serve", "--port", port, *arguments],
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert server.stdout is not None
    said: list[str] = []
    farewell: list[str] = []
    try:
        for line in server.stdout:
            said.append(line.rstrip("\n"))
            if line.startswith("Firing Order is at "):
                break
        yield f"http://127.0.0.1:{port}", said, farewell
    finally:
        server.send_signal(signal.SIGINT)
        rest, _ = server.communicate(timeout=60)
        farewell += rest.splitlines()
    assert server.returncode == 0, "\n".join([*said, *farewell])


def test_it_makes_the_workshop_once_and_keeps_it(either_database: dict[str, str]) -> None:
    with serving(either_database) as (address, first, farewell):
        assert first[:2] == ["Making the database", "Loading the demo workshop"]
        assert first[-1] == f"Firing Order is at {address}/  (Ctrl-C stops it)"
        with urllib.request.urlopen(address) as page:  # leads a stranger to the sign-in sheet
            assert page.status == 200
            assert b"<form" in page.read()
    assert farewell[-1] == "Firing Order has stopped; everything recorded is kept."

    with serving(either_database) as (address, second, _):
        assert "Making the database" not in second
        assert "Loading the demo workshop" not in second
        # the logins are told again, the same ones
        assert [line for line in first[2:-1] if line] == [line for line in second[:-1] if line]
        with urllib.request.urlopen(f"{address}/static/sheet.css") as sheet:
            assert sheet.headers["Content-Type"].startswith("text/css")


def test_an_empty_workshop_says_how_the_first_manager_gets_in(environment: dict[str, str]) -> None:
    with serving(environment, "--no-demo") as (_, said, _farewell):
        assert "Loading the demo workshop" not in said
        assert "Nobody can sign in yet: the first page makes the first manager." in said


def test_a_name_that_is_not_this_computers_is_turned_away(environment: dict[str, str]) -> None:
    with serving(environment, "--no-demo") as (address, _said, _farewell):
        strange = urllib.request.Request(address, headers={"Host": "elsewhere.example"})
        with pytest.raises(urllib.error.HTTPError) as turned_away:
            urllib.request.urlopen(strange)
        turned_away.value.close()
        assert turned_away.value.code == 400


def test_a_request_beyond_any_photo_is_turned_away_unread(environment: dict[str, str]) -> None:
    with serving(environment, "--no-demo") as (address, _, _):
        host, port = address.removeprefix("http://").rstrip("/").split(":")
        with socket.create_connection((host, int(port)), timeout=30) as line:
            line.sendall(
                b"POST /sign-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 500000000\r\n\r\n"
                + b"x" * 1000
            )
            assert b" 413 " in line.recv(200).splitlines()[0]


def test_a_press_that_nobody_heard_is_made_again() -> None:
    """What is raised while Python cleans up an object is swallowed, and the server would go on."""
    from config.management.commands.serve import ASK_AGAIN_S, _interrupt

    try:
        with pytest.raises(KeyboardInterrupt):
            _interrupt(signal.SIGINT, None)
        assert 0 < signal.getitimer(signal.ITIMER_REAL)[0] <= ASK_AGAIN_S
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)

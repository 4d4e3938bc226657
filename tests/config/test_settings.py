"""What the settings promise about the key and the database."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.utils import ConnectionHandler

ROOT = Path(__file__).resolve().parents[2]
PRINT_KEY = "from django.conf import settings; print(settings.SECRET_KEY)"


def key_of_a_fresh_process(data: Path, **environment: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", PRINT_KEY],
        cwd=ROOT,
        env={
            "PATH": os.environ["PATH"],
            "DJANGO_SETTINGS_MODULE": "config.settings",
            "FO_DATA_DIR": str(data),
            **environment,
        },
        stdout=subprocess.PIPE,
        text=True,
    )


def test_the_secret_key_is_made_once_for_the_owner_alone(tmp_path: Path) -> None:
    first, second = (key_of_a_fresh_process(tmp_path / "data").communicate()[0] for _ in range(2))
    key_file = tmp_path / "data" / "secret_key"
    assert first == second == key_file.read_text() + "\n"
    assert len(first) > 50
    assert stat.S_IMODE(key_file.stat().st_mode) == 0o600


def test_processes_that_start_together_share_one_key(tmp_path: Path) -> None:
    together = [key_of_a_fresh_process(tmp_path / "data") for _ in range(4)]
    assert len({process.communicate()[0] for process in together}) == 1
    assert [path.name for path in (tmp_path / "data").iterdir()] == ["secret_key"]


def test_a_key_from_the_environment_leaves_no_file(tmp_path: Path) -> None:
    given, _ = key_of_a_fresh_process(tmp_path / "data", FO_SECRET_KEY="k" * 60).communicate()
    assert given == "k" * 60 + "\n"
    assert not (tmp_path / "data").exists()


@pytest.fixture
def sqlite_file(tmp_path: Path, django_db_blocker: Any) -> Iterator[BaseDatabaseWrapper]:
    """A connection with our settings to a database in a file: one in memory keeps no journal."""
    configured = settings.DATABASES["default"]
    if configured["ENGINE"] != "django.db.backends.sqlite3":
        pytest.skip("DATABASE_URL names another database than SQLite, and this is about SQLite")
    with django_db_blocker.unblock():
        connection = ConnectionHandler({"default": {**configured, "NAME": tmp_path / "x.sqlite3"}})["default"]
        yield connection
        connection.close()


def test_sqlite_keeps_what_it_acknowledged_and_its_links(sqlite_file: BaseDatabaseWrapper) -> None:
    with sqlite_file.cursor() as cursor:
        found = {
            name: cursor.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous")
        }
        found["foreign_keys"] = cursor.execute("PRAGMA foreign_keys").fetchone()[0]
    assert found == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}  # 2 is FULL


def test_a_transaction_queues_for_the_lock_when_it_begins(sqlite_file: BaseDatabaseWrapper) -> None:
    sqlite_file.ensure_connection()
    other = sqlite3.connect(sqlite_file.settings_dict["NAME"], timeout=0)
    sqlite_file.set_autocommit(False, force_begin_transaction_with_broken_autocommit=True)
    try:
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("BEGIN IMMEDIATE")
    finally:
        sqlite_file.rollback()
        other.close()

"""The start-up checks: quiet on a computer that is in order, else what is wrong and what to do."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.checks import ERROR, WARNING, run_checks

from config import checks
from config.pdf_libraries import INSTALL_COMMAND


@pytest.fixture(autouse=True)
def _computer_in_order(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(checks, "missing_libraries", list)


def found() -> list[tuple[int, str, str]]:
    return [(message.level, message.msg, message.hint or "") for message in run_checks(tags=[checks.TAG])]


def test_a_computer_in_order_hears_nothing() -> None:
    assert found() == []


def test_missing_pdf_libraries_are_a_warning_with_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checks, "missing_libraries", lambda: ["libpango-1.0.so.0"])
    ((level, words, hint),) = found()
    assert level == WARNING
    assert "PDF pages" in words
    assert INSTALL_COMMAND in hint


def test_missing_fonts_are_an_error_that_names_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checks, "FONT_FILES", (*checks.FONT_FILES, "Nobody-Regular.ttf"))
    ((level, words, _),) = found()
    assert level == ERROR
    assert words.startswith("Fonts are missing: Nobody-Regular.ttf.")


def test_a_data_folder_that_cannot_be_written_to_is_an_error_that_names_it(
    settings: Any, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("in the way")
    settings.DATA_DIR = tmp_path / "file" / "data"
    ((level, words, hint),) = found()
    assert level == ERROR
    assert f"The data folder {tmp_path / 'file' / 'data'} cannot be written to" in words
    assert "FO_DATA_DIR" in hint


@pytest.mark.parametrize(("mode", "warned"), [(0o600, False), (0o640, True), (0o604, True)])
def test_a_key_that_others_can_read_is_a_warning(
    settings: Any, tmp_path: Path, mode: int, warned: bool
) -> None:
    key_file = tmp_path / "secret_key"
    key_file.write_text(settings.SECRET_KEY)
    key_file.chmod(mode)
    assert [level for level, _, _ in found()] == [WARNING] * warned


def test_a_key_file_that_is_not_in_use_does_not_matter(tmp_path: Path) -> None:
    key_file = tmp_path / "secret_key"
    key_file.write_text("an old key; the one in use came from the environment")
    key_file.chmod(0o644)
    assert found() == []

"""What must be right on this computer before the workshop can work, each with what to do about it."""

import os
import stat
import tempfile
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.checks import CheckMessage, Error, Warning, register

from config.pdf import FONT_FILES
from config.pdf_libraries import INSTALL_COMMAND, missing_libraries

TAG = "workshop"


@register(TAG)
def fonts_present(**_: Any) -> list[CheckMessage]:
    absent = [name for name in FONT_FILES if finders.find(f"fonts/{name}") is None]
    if not absent:
        return []
    return [
        Error(
            f"Fonts are missing: {', '.join(absent)}. Printing would stop the server.",
            hint="Delete the folder .venv and run “make run”: the fonts come with the packages.",
            id="config.E001",
        )
    ]


@register(TAG)
def data_folder_writable(**_: Any) -> list[CheckMessage]:
    try:
        settings.DATA_DIR.mkdir(parents=True, exist_ok=True)
        # asking for permission bits is not enough: root passes them on a read-only disk
        with tempfile.TemporaryFile(dir=settings.DATA_DIR):
            return []
    except OSError as error:
        return [
            Error(
                f"The data folder {settings.DATA_DIR} cannot be written to ({error.strerror}).",
                hint="Give this user the right to write there, or name another folder with FO_DATA_DIR.",
                id="config.E002",
            )
        ]


@register(TAG)
def secret_key_private(**_: Any) -> list[CheckMessage]:
    path = settings.DATA_DIR / "secret_key"
    if os.name != "posix" or not path.exists() or path.read_text() != settings.SECRET_KEY:
        return []
    if not stat.S_IMODE(path.stat().st_mode) & (stat.S_IRWXG | stat.S_IRWXO):
        return []
    return [
        Warning(
            f"Other users of this computer can read {path}, and with it sign in as anybody.",
            hint=f"Run “chmod 600 {path}”; if they may have read it, delete it: all then sign in anew.",
            id="config.W001",
        )
    ]


@register(TAG)
def pdf_libraries_present(**_: Any) -> list[CheckMessage]:
    if not missing_libraries():
        return []
    return [
        Warning(
            "PDF pages need system libraries that this computer lacks; everything else works.",
            hint=f"Run “{INSTALL_COMMAND}”, then start again.",
            id="config.W002",
        )
    ]

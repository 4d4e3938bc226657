"""The system libraries that PDF pages need, found without importing anything heavy.

`config/launch.sh` runs this file (`python -m config.pdf_libraries`) before Django exists, the start-up
checks and `config.pdf` ask it later, so that all three name the same packages and the same command.
"""

import ctypes
import sys

PACKAGES = ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0")
INSTALL_COMMAND = "sudo apt-get install --no-install-recommends " + " ".join(PACKAGES)

# What WeasyPrint opens as it is imported; the Debian packages above bring them all.
_LINUX_LIBRARIES = (
    "libgobject-2.0.so.0",
    "libpango-1.0.so.0",
    "libharfbuzz.so.0",
    "libfontconfig.so.1",
    "libpangoft2-1.0.so.0",
)


def missing_libraries() -> list[str]:
    """Names of the libraries that cannot be opened; elsewhere than on Linux the import itself has to tell."""
    if not sys.platform.startswith("linux"):
        return []
    return [name for name in _LINUX_LIBRARIES if not _opens(name)]


def how_to_install() -> str:
    """One sentence for people."""
    return f"PDF pages need system libraries that are missing: run “{INSTALL_COMMAND}”, then start again."


def _opens(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


if __name__ == "__main__" and missing_libraries():
    print(*PACKAGES)

"""Text that a spreadsheet must not take for a formula, and back again.

A cell that begins with one of these signs is worked out by a spreadsheet when a CSV file is opened, so an
apostrophe goes in front (common practice, no source). What is written with `guarded` reads back unchanged
with `unguarded`, apostrophes of its own included.
"""

import re

# The full-width forms count too: East Asian settings read them as the plain signs.
RISKY = "=+\\-@\t\r\n＝＋－＠"
_GUARDABLE = re.compile(f"'*[{RISKY}]")
_GUARDED = re.compile(f"'+[{RISKY}]")


def guarded(text: str) -> str:
    """The text, with an apostrophe in front if a spreadsheet could take it for a formula.

    >>> guarded("=1+1"), guarded("'=1+1"), guarded("Fuel tank"), guarded("'tis")
    ("'=1+1", "''=1+1", 'Fuel tank', "'tis")
    """
    return f"'{text}" if _GUARDABLE.match(text) else text


def unguarded(text: str) -> str:
    """What was given to `guarded`.

    >>> unguarded("'=1+1"), unguarded("''=1+1"), unguarded("'tis")
    ('=1+1', "'=1+1", "'tis")
    """
    return text[1:] if _GUARDED.match(text) else text

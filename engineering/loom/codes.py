"""Colour codes and terminal numbers of open standards, to offer and to read."""

from dataclasses import dataclass
from enum import StrEnum


class ColourCode(StrEnum):
    """A standard way of writing the colour of a wire."""

    BS_AU_7 = "BS AU 7"
    DIN = "DIN letters"
    IEC_60757 = "IEC 60757"


LETTERS: dict[ColourCode, dict[str, str]] = {
    ColourCode.BS_AU_7: {
        "B": "black", "G": "green", "W": "white", "R": "red", "U": "blue", "P": "purple", "N": "brown",
        "S": "slate", "Y": "yellow", "O": "orange", "K": "pink", "LG": "light green",
    },
    ColourCode.DIN: {
        "sw": "black", "br": "brown", "rt": "red", "or": "orange", "ge": "yellow", "gn": "green",
        "bl": "blue", "vi": "violet", "gr": "grey", "ws": "white", "rs": "pink",
    },
    ColourCode.IEC_60757: {
        "BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green",
        "BU": "blue", "VT": "violet", "GY": "grey", "WH": "white", "PK": "pink", "GD": "gold",
        "TQ": "turquoise", "SR": "silver",
    },
}  # fmt: skip
"""Letters of each code. BS AU 7: S, Y, O, K and LG from memory; DIN and IEC 60757 from memory throughout."""

BASE_COLOURS: dict[str, str] = {
    "B": "earth",
    "G": "fused, ignition-fed auxiliaries",
    "W": "ignition",
    "R": "side and tail lamps",
    "U": "headlamps: UW main beam, UR dip",
    "P": "fused, not through the ignition switch: horn, interior lamp",
    "N": "main battery feed",
}
"""What a base colour of BS AU 7 stands for, after reproductions of the standard."""


@dataclass(frozen=True)
class Colour:
    """A colour of insulation.

    Parameters
    ----------
    base : str
        Ground colour, in words.
    tracer : str
        Colour of the stripe, in words; empty where there is none.
    """

    base: str
    tracer: str = ""

    def __str__(self) -> str:
        return f"{self.base} with {self.tracer}" if self.tracer else self.base


def colour_of(text: str, code: ColourCode) -> Colour | None:
    """Read a colour as it is written by a standard.

    Parameters
    ----------
    text : str
        The code, base first; a stroke, hyphen or blank between the two is allowed.
    code : ColourCode
        The standard.

    Returns
    -------
    Colour or None
        None where these are not letters of that code, or base and tracer are the same.

    Examples
    --------
    >>> str(colour_of("WG", ColourCode.BS_AU_7))
    'white with green'
    >>> str(colour_of("N-LG", ColourCode.BS_AU_7)), colour_of("ZZ", ColourCode.BS_AU_7)
    ('brown with light green', None)
    """
    letters = LETTERS[code]
    if code is ColourCode.DIN:
        known = {key.lower(): word for key, word in letters.items()}
        written = text.strip().lower()
    else:
        known, written = letters, text.strip().upper()
    for mark in ("/", "-", " "):
        written = written.replace(mark, "|")
    if "|" not in written and written in known:
        return Colour(known[written])
    parts = written.split("|") if "|" in written else _halves(written, known)
    if len(parts) != 2 or any(part not in known for part in parts) or parts[0] == parts[1]:
        return None
    return Colour(known[parts[0]], known[parts[1]])


def _halves(written: str, known: dict[str, str]) -> list[str]:
    """Base and tracer written together; the longer base is tried first."""
    for cut in range(len(written) - 1, 0, -1):
        if written[:cut] in known and written[cut:] in known:
            return [written[:cut], written[cut:]]
    return []


TERMINALS: dict[str, str] = {
    "1": "coil, low tension, to breaker or ignition unit",
    "4": "coil, high tension",
    "15": "switched plus, from the ignition switch",
    "15a": "from the ballast resistor",
    "16": "coil feed, ballast by-passed",
    "17": "glow plugs, starting",
    "19": "glow plugs, preheating",
    "30": "plus direct from the battery",
    "30a": "from the second battery, 12/24 V changeover",
    "31": "return to battery minus, or earth",
    "31b": "return, switched",
    "32": "motor: return",
    "33": "motor: feed",
    "33a": "motor, self-parking",
    "49": "flasher unit, in",
    "49a": "flasher unit, out",
    "50": "starter control",
    "51": "direct current at the rectifier",
    "54": "stop lamps",
    "55": "front fog lamps",
    "56": "headlamp feed from the light switch",
    "56a": "main beam and its tell-tale",
    "56b": "dip beam",
    "56d": "flash-to-pass",
    "57": "parking lamp",
    "58": "side, tail, number plate and panel lamps",
    "58L": "side lamp, left",
    "58R": "side lamp, right",
    "58d": "panel lamps, dimmed",
    "59": "alternating current out; rectifier in",
    "61": "charge tell-tale",
    "85": "relay coil, end (minus)",
    "86": "relay coil, start (plus)",
    "87": "relay contact, make; 30 is common and 87a breaks (ISO 7588-1, from memory; the 1971 text of DIN "
    "72552 has 87 as the input)",
    "87a": "relay contact, break",
    "B+": "battery plus",
    "B-": "battery minus",
    "D+": "generator plus",
    "D-": "generator minus",
    "DF": "generator field",
    "L": "indicators, left",
    "R": "indicators, right",
    "C": "indicator tell-tale",
}
"""Terminal numbers of DIN 72552 part 2 (1971), after several reproductions that agree."""

"""The tables of a loom as they are typed: their columns, and what is offered in them."""

from engineering.loom import INSULATIONS
from engineering.loom.codes import BASE_COLOURS, LETTERS, TERMINALS, ColourCode
from engineering.loom.reading import PlaceKind
from engineering.loom.wire_list import DROPS, SURROUNDINGS, Drop
from engineering.rows import Column

Offered = tuple[tuple[str, str], ...]


def _words(
    key: str, words: str, unit: str = "", *, needed: bool = False, offered: Offered = (), longest: int = 80
) -> Column:
    """A cell kept as it was typed: the loom's own readers take '2,5 mm²', '15A' and '1.2 m'."""
    default = None if needed else ""
    return Column(key, words, unit, is_figure=False, default=default, offered=offered, longest=longest)


def _meaning(code: ColourCode, letters: str, colour: str) -> str:
    use = BASE_COLOURS.get(letters, "") if code is ColourCode.BS_AU_7 else ""
    return f"{colour}{f', {use}' if use else ''} ({code})"


def _limit(drop: Drop) -> str:
    return f"{drop.percent:g} %" if drop.percent else f"{drop.volts_at_12:g} V at 12 V"


COLOURS: Offered = tuple(
    (letters, _meaning(code, letters, colour))
    for code in ColourCode
    for letters, colour in LETTERS[code].items()
)
"""Letters of the three standards; a tracer's letters follow those of the base."""

TERMINAL_NUMBERS: Offered = tuple((number, f"{words} (DIN 72552)") for number, words in TERMINALS.items())

_SURROUNDINGS = tuple((key, f"{each.name}, {each.ambient_c:g} °C") for key, each in SURROUNDINGS.items())
_CLASSES = tuple((key.replace("_", " "), f"{drop.name}, {_limit(drop)}") for key, drop in DROPS.items())
_INSULATIONS = tuple((key, each.name) for key, each in INSULATIONS.items())
_NATURES = tuple((word, "") for word in ("steady", "lamp", "motor", "alternator", "starter"))
_PLACES = tuple((str(kind), "") for kind in PlaceKind)
_DEVICES = (("fuse", ""), ("electronic output", "its rating is the current at which it trips"))
_YES = (("yes", ""),)

RUNS = (
    _words("name", "Run", needed=True),
    _words("start", "From joint", needed=True),
    _words("end", "To joint", needed=True),
    _words("length_mm", "Length", "mm", needed=True),
    _words("surroundings", "Surroundings", offered=_SURROUNDINGS),
    _words("measured_c", "Temperature", "°C"),
)
PLACES = (
    _words("name", "Name", needed=True),
    _words("kind", "What it is", offered=_PLACES),
    _words("joint", "At joint", needed=True),
    _words("cavities", "Cavities", longest=500),
    _words("largest_mm2", "Largest conductor", "mm²"),
    _words("most_a", "Most current", "A"),
    _words("terminal", "Terminal"),
    _words("tail_mm", "Tail", "mm"),
    _words("limited_a", "Limits itself to", "A"),
)
COMPONENTS = (
    _words("name", "Component", needed=True),
    _words("feed", "Feed", needed=True),
    _words("returns", "Return"),
    _words("steady_a", "Current", "A", needed=True),
    _words("nature", "Kind", offered=_NATURES),
    _words("inrush_a", "In-rush", "A"),
    _words("inrush_s", "In-rush time", "s"),
    _words("duty", "Share of time on"),
    _words("on_s", "Longest on", "s"),
    _words("drop", "Class", offered=_CLASSES),
    _words("one_of", "Never together"),
)
DEVICES = (
    _words("name", "Device", needed=True),
    _words("fed", "Fed at", needed=True),
    _words("out", "Out at", needed=True),
    _words("rating_a", "Rating", "A"),
    _words("kind", "Kind", offered=_DEVICES),
    _words("inrush_a", "In-rush", "A"),
    _words("inrush_s", "In-rush time", "s"),
    _words("ambient_c", "Temperature", "°C"),
    _words("box", "Box"),
    _words("retries", "Tries again"),
)
BOXES = (
    _words("name", "Box", needed=True),
    _words("most_a", "Most current of all together", "A", needed=True),
)
LINKS = (
    _words("name", "Switch, relay or mated pair", needed=True),
    _words("one", "In at", needed=True),
    _words("other", "Out at", needed=True),
)
WIRES_TABLE = (
    _words("label", "Label", needed=True),
    _words("start", "From", needed=True),
    _words("end", "To", needed=True),
    _words("circuit", "Circuit", offered=TERMINAL_NUMBERS),
    _words("colour", "Colour", offered=COLOURS),
    _words("least_mm2", "Least size", "mm²"),
    _words("given_mm2", "Given size", "mm²"),
    _words("via", "By way of joints", longest=200),
    _words("avoid", "Clear of runs", longest=200),
    _words("signal", "Signal", offered=_YES),
    _words("insulation", "Insulation", offered=_INSULATIONS),
    _words("loop_mm", "Service loop", "mm"),
)

TABLES: dict[str, tuple[Column, ...]] = {
    "runs": RUNS,
    "places": PLACES,
    "components": COMPONENTS,
    "devices": DEVICES,
    "boxes": BOXES,
    "links": LINKS,
    "wires": WIRES_TABLE,
}

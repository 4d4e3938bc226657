"""Tables of a wire list from rows of a spreadsheet."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from engineering.loom.figures import FigureError, Kind, figure
from engineering.loom.inputs import INSULATIONS
from engineering.loom.reading_cells import (
    figure_of,
    named,
    names_of,
    one_of,
    pin_of,
    words_of,
    yes_of,
)
from engineering.loom.reading_rows import Heading, NumberedRow, ReadRows, read_table
from engineering.loom.wire_list import (
    DROPS,
    SURROUNDINGS,
    Box,
    Component,
    Device,
    DeviceKind,
    Link,
    Nature,
    Pin,
    Run,
    WireLine,
)


def read_wires(rows: Sequence[NumberedRow]) -> ReadRows[WireLine]:
    """Read a wire list.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.

    Returns
    -------
    ReadRows
        Lines of the list. Ends are written “C1/3” (connector and cavity) or in a column each for connector
        and cavity; joints and runs in one cell are parted by commas or blanks.

    Examples
    --------
    >>> rows = [(1, ["Label", "From", "To", "Least size"]), (2, ["W1", "FB/1", "S1", "0,75 mm²"])]
    >>> wire, = read_wires(rows).entries
    >>> wire.start, wire.least_mm2
    (Pin(place='FB', cavity='1'), 0.75)
    """
    columns = (
        Heading("label", "Label", ("wire", "wire no", "no", "number", "wire label"), words_of, True),
        Heading("start", "From", ("start", "from connector", "start connector"), pin_of, True),
        Heading("start_cavity", "From cavity", ("start cavity", "from pin", "cavity from"), words_of),
        Heading("end", "To", ("end", "to connector", "end connector"), pin_of, True),
        Heading("end_cavity", "To cavity", ("end cavity", "to pin", "cavity to"), words_of),
        Heading("circuit", "Circuit", ("function", "terminal"), words_of),
        Heading("colour", "Colour", ("color", "wire colour"), words_of),
        Heading("least_mm2", "Least size", ("minimum size", "min size", "thinnest"), figure_of(Kind.AREA)),
        Heading(
            "given_mm2", "Size", ("given size", "conductor", "gauge", "cross-section"), figure_of(Kind.AREA)
        ),
        Heading("insulation", "Insulation", ("class", "insulation class"), one_of(INSULATIONS, "insulation")),
        Heading("via", "Through", ("via", "pinned through", "by way of joints"), names_of),
        Heading("avoid", "Keep out of", ("avoid", "not through", "clear of runs"), names_of),
        Heading("loop_mm", "Service loop", ("loop",), figure_of(Kind.LENGTH)),
        Heading("signal", "Signal", ("signal wire",), yes_of),
    )

    def wire(found: dict[str, Any]) -> WireLine:
        for end in ("start", "end"):
            cavity = found.pop(f"{end}_cavity", None)
            if cavity:
                if found[end].cavity:
                    raise FigureError(end, f"gives a cavity twice: {found[end]} and {cavity}; write it once")
                found[end] = Pin(found[end].place, cavity)
        return WireLine(**found)

    return read_table(rows, columns, wire, "label", "wires")


def read_runs(rows: Sequence[NumberedRow]) -> ReadRows[Run]:
    """Read measured runs.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.

    Returns
    -------
    ReadRows
        Runs.

    Examples
    --------
    >>> run, = read_runs([(1, ["Run", "From", "To", "Length (m)"]), (2, ["R1", "J1", "J2", "1,2"])]).entries
    >>> run.length_mm
    1200.0
    """
    columns = (
        Heading("name", "Run", ("name", "label"), words_of, True),
        Heading("start", "From", ("start", "from joint"), words_of, True),
        Heading("end", "To", ("end", "to joint"), words_of, True),
        Heading("length_mm", "Length", ("measured", "measured length"), figure_of(Kind.LENGTH), True),
        Heading("surroundings", "Surroundings", ("place", "where"), one_of(SURROUNDINGS, "surroundings")),
        Heading("measured_c", "Temperature", ("hottest", "ambient"), figure_of(Kind.TEMPERATURE)),
    )
    return read_table(rows, columns, lambda found: Run(**found), "name", "runs")


def read_components(rows: Sequence[NumberedRow]) -> ReadRows[Component]:
    """Read what takes current.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.

    Returns
    -------
    ReadRows
        Components; an empty return is a return through the body.
    """
    columns = (
        Heading("name", "Component", ("name", "load"), words_of, True),
        Heading("feed", "Feed", ("feed pin", "plus"), pin_of, True),
        Heading("returns", "Return", ("return pin", "minus", "earth", "ground"), pin_of),
        Heading("steady_a", "Current", ("steady", "steady current"), figure_of(Kind.CURRENT), True),
        Heading("nature", "Kind", ("nature", "type"), _nature),
        Heading("inrush_a", "In-rush", ("inrush", "starting current"), figure_of(Kind.CURRENT)),
        Heading("inrush_s", "In-rush time", ("inrush time",), figure_of(Kind.TIME)),
        Heading("duty", "Share of time on", ("duty",), figure_of(Kind.SHARE)),
        Heading("on_s", "Longest on", ("on time",), figure_of(Kind.TIME)),
        Heading("drop", "Class", ("drop", "drop class"), one_of(DROPS, "class")),
        Heading("one_of", "Never together", ("either", "never with"), words_of),
    )

    def component(found: dict[str, Any]) -> Component:
        return Component(**({"returns": None} | found))

    return read_table(rows, columns, component, "name", "components")


def read_devices(rows: Sequence[NumberedRow]) -> ReadRows[Device]:
    """Read fuses and electronic outputs.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.

    Returns
    -------
    ReadRows
        Devices; an empty rating is one to be chosen.
    """
    columns = (
        Heading("name", "Device", ("fuse", "name", "output"), words_of, True),
        Heading("fed", "Fed at", ("in", "supply side"), pin_of, True),
        Heading("out", "Out at", ("out", "load side"), pin_of, True),
        Heading("rating_a", "Rating", ("fuse rating", "trips at"), figure_of(Kind.CURRENT)),
        Heading("kind", "Kind", ("type",), _device_kind),
        Heading("inrush_a", "In-rush", ("inrush",), figure_of(Kind.CURRENT)),
        Heading("inrush_s", "In-rush time", ("inrush time",), figure_of(Kind.TIME)),
        Heading("ambient_c", "Temperature", ("ambient",), figure_of(Kind.TEMPERATURE)),
        Heading("box", "Box", ("fuse box", "unit"), words_of),
        Heading("retries", "Tries again", ("retries",), _whole),
    )
    return read_table(rows, columns, lambda found: Device(**found), "name", "devices")


def read_links(rows: Sequence[NumberedRow]) -> ReadRows[Link]:
    """Read switches, relays and mated pairs.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.

    Returns
    -------
    ReadRows
        Links.
    """
    columns = (
        Heading(
            "name",
            "Switch, relay or mated pair",
            ("switch", "relay", "link", "mated pair", "name", "switch or relay"),
            words_of,
            True,
        ),
        Heading("one", "In at", ("in", "one", "from"), pin_of, True),
        Heading("other", "Out at", ("out", "other", "to"), pin_of, True),
    )
    return read_table(rows, columns, lambda found: Link(**found), "name", "links")


def read_boxes(rows: Sequence[NumberedRow]) -> ReadRows[Box]:
    """Read fuse boxes and control units with a limit of their own.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.

    Returns
    -------
    ReadRows
        Boxes.
    """
    columns = (
        Heading("name", "Box", ("fuse box", "unit", "control unit", "name"), words_of, True),
        Heading(
            "most_a",
            "Most current of all together",
            ("most current", "total", "total current", "limit"),
            figure_of(Kind.CURRENT),
            True,
        ),
    )
    return read_table(rows, columns, lambda found: Box(**found), "name", "boxes")


class PlaceKind(StrEnum):
    """What stands at a joint."""

    CONNECTOR = "connector"
    SPLICE = "splice"
    SUPPLY = "supply"
    GROUND = "ground"
    MINUS = "battery minus"
    UNIT = "unit ground"


_PLACES = {
    **{str(kind): kind for kind in PlaceKind}, "battery": PlaceKind.SUPPLY,
    "earth": PlaceKind.GROUND,
}  # fmt: skip


@dataclass(frozen=True)
class PlaceLine:
    """One line of connectors, splices and studs; a connector may go on over several.

    Parameters
    ----------
    name : str
        Of the connector, splice or stud.
    joint : str
        Where it sits; empty where another line says so.
    kind : PlaceKind
        What it is.
    cavities : tuple of str
        Of a connector: those that are alike.
    largest_mm2, most_a : float or None
        Of its contacts, or the most that a supply gives [mm^2, A].
    terminal : str
        What to crimp on.
    tail_mm : float or None
        Of a connector: wire from the joint to the contact [mm].
    limited_a : float or None
        Of a supply that limits its own current: to how much [A].
    """

    name: str
    joint: str = ""
    kind: PlaceKind = PlaceKind.CONNECTOR
    cavities: tuple[str, ...] = ()
    largest_mm2: float | None = None
    most_a: float | None = None
    terminal: str = ""
    tail_mm: float | None = None
    limited_a: float | None = None


def read_places(
    rows: Sequence[NumberedRow], kind: PlaceKind = PlaceKind.CONNECTOR, *, joint_needed: bool = True
) -> ReadRows[PlaceLine]:
    """Read connectors, splices, supplies and grounds.

    Parameters
    ----------
    rows : sequence of (int, sequence)
        Rows with their numbers, headings included.
    kind : PlaceKind
        What a line is that does not say.
    joint_needed : bool
        Whether each line has to say where it sits; a list of pins need not.

    Returns
    -------
    ReadRows
        Lines, as they stand.

    Examples
    --------
    >>> line, = read_places([(1, ["Ground", "At joint"]), (2, ["nose", "J2"])], PlaceKind.GROUND).entries
    >>> line.name, line.kind.value, line.joint
    ('nose', 'ground', 'J2')
    """
    columns = (
        Heading(
            "name",
            "Name",
            ("connector", "splice", "supply", "ground", "earth", "stud", "place", "label"),
            words_of,
            True,
        ),
        Heading("kind", "What it is", ("kind", "type"), _place_kind),
        Heading("joint", "At joint", ("joint", "where", "at"), words_of, joint_needed),
        Heading("cavities", "Cavities", ("cavity", "pins", "pin"), names_of),
        Heading(
            "largest_mm2",
            "Largest conductor",
            ("largest", "largest size", "contact takes"),
            figure_of(Kind.AREA),
        ),
        Heading(
            "most_a", "Most current", ("contact current", "total current", "rating"), figure_of(Kind.CURRENT)
        ),
        Heading("terminal", "Terminal", ("contact", "crimp", "lug"), words_of),
        Heading("tail_mm", "Tail", ("tail length", "end allowance", "allowance"), figure_of(Kind.LENGTH)),
        Heading("limited_a", "Limits itself to", ("self-limited", "limited to"), figure_of(Kind.CURRENT)),
    )
    return read_table(rows, columns, lambda found: PlaceLine(**({"kind": kind} | found)), "", "lines")


def _place_kind(cell: object, unit: str) -> PlaceKind | None:
    return named(_PLACES, cell, "")


def _whole(cell: object, unit: str) -> int | None:
    value = figure(cell, Kind.COUNT, unit=unit)
    if value is not None and value != int(value):
        raise FigureError("", f"{value:g} is not a whole number")
    return None if value is None else int(value)


_NATURES = {
    "steady": Nature.STEADY, "resistive": Nature.STEADY, "heater": Nature.STEADY,
    "electronics": Nature.STEADY, "lamp": Nature.LAMP, "motor": Nature.MOTOR, "alternator": Nature.CHARGER,
    "charger": Nature.CHARGER, "starter": Nature.STARTER,
}  # fmt: skip


def _nature(cell: object, unit: str) -> Nature | None:
    return named(_NATURES, cell, "kind")


def _device_kind(cell: object, unit: str) -> DeviceKind | None:
    kinds = {"fuse": DeviceKind.FUSE, "electronic": DeviceKind.ELECTRONIC, "output": DeviceKind.ELECTRONIC,
             "electronic output": DeviceKind.ELECTRONIC}  # fmt: skip
    return named(kinds, cell, "kind")

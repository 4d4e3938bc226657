"""Looms as the browser sends them."""

from engineering.sheets.loom_rows import generic_lines

COLUMNS = {
    "runs": ("name", "start", "end", "length_mm", "surroundings", "measured_c"),
    "places": ("name", "kind", "joint", "cavities"),
    "components": ("name", "feed", "returns", "steady_a", "nature", "drop"),
    "devices": ("name", "fed", "out", "rating_a"),
    "links": ("name", "one", "other"),
    "wires": ("label", "start", "end", "circuit", "colour", "least_mm2", "given_mm2", "via", "avoid"),
}


def rows(name: str, *lines: tuple[object, ...]) -> dict[str, str]:
    """As the browser sends a table."""
    return {
        f"{name}-{number}-{column}": str(cell)
        for number, line in enumerate(lines)
        for column, cell in zip(COLUMNS[name], line, strict=False)
    }


def typed_pump() -> dict[str, str]:
    """A pump of 10 A at 12 V, 10.5 ft there and as much back, in air of 30 °C, on wires of its own."""
    return {
        "title": "Bilge pump",
        "system_v": "12",
        "series": "awg",
        "insulation": "c",
        "return_path": "wire",
        "body_v": "",
        "least_mm2": "0.5",
        "tail_mm": "0",
        "loop_mm": "0",
        **rows("runs", ("R", "aft", "fore", "3.2004 m", "", "30")),
        **rows(
            "places",
            ("BAT+", "supply", "aft"),
            ("BAT-", "battery minus", "aft"),
            ("F", "", "aft", "1"),
            ("P", "connector", "fore", "+ -"),
        ),
        **rows("components", ("Pump", "P/+", "P/-", "10A", "", "critical")),
        **rows("devices", ("F1", "BAT+", "F/1")),
        **rows("wires", ("out", "F/1", "P/+", "Pump", "N"), ("back", "P/-", "BAT-", "Pump", "B")),
    }


def typed_generic() -> dict[str, str]:
    """The generic car, as its filled-in form would be sent."""
    sent = {"title": "Main loom", "body_v": "0.1", "least_mm2": "0.5", "tail_mm": "100", "loop_mm": "0"}
    for name, value in generic_lines().items():
        if isinstance(value, list):
            sent |= {f"{name}-{n}-{key}": cell for n, row in enumerate(value) for key, cell in row.items()}
        else:
            sent[name] = str(value)
    return sent

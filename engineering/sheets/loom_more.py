"""Generic circuits put into the tables of a loom as they stand."""

from collections.abc import Sequence

from engineering.loom.generic import GenericCircuit
from engineering.loom.generic_more import BOX, Standing, more_circuits
from engineering.sheets.loom_rows import typed_tables

Tables = dict[str, list[dict[str, str]]]


def with_circuits(tables: Tables, circuits: Sequence[GenericCircuit]) -> Tables:
    """The tables with what the circuits add below. Raises LoomInputError if one stands there already."""
    more = typed_tables(more_circuits(tuple(circuits), _standing(tables)))
    return {name: [*rows, *more.get(name, [])] for name, rows in tables.items()}


def _standing(tables: Tables) -> Standing:
    places, runs = tables["places"], tables["runs"]
    named = [(tables[name], "name") for name in ("places", "runs", "components", "devices", "links")]
    supply = next((row for row in places if row["kind"].lower() in ("supply", "battery")), None)
    box = [row for row in places if row["name"] == BOX]
    joints = {row["joint"] for row in places} | {row[end] for row in runs for end in ("start", "end")}
    return Standing(
        names=frozenset(row[key] for rows, key in (*named, (tables["wires"], "label")) for row in rows),
        joints=frozenset(joints),
        pairs=frozenset(frozenset((row["start"], row["end"])) for row in runs),
        supply=supply["name"] if supply else "",
        supply_joint=supply["joint"] if supply else "",
        box_joint=box[0]["joint"] if box else "",
        box_cavities=frozenset(
            cavity for row in box for cavity in row["cavities"].replace(",", " ").replace(";", " ").split()
        ),
    )

"""Wires of a car: one circuit's conductor and fuse, or a whole loom's, with the reason. Knows no Django.

One circuit is `circuit.size_circuit`. A loom is a `wire_list.LoomList`; `checks.check_list` says what is
wrong with it, `sizing.size_loom` sizes it, `change.changes` compares two results, `cutting` makes the cut
list, `battery` and `budget` treat starter cable and charge balance, `reading` reads rows of a spreadsheet.
"""

from engineering.loom.circuit import CircuitResult, Failure, Rule, SizeOutcome, size_circuit
from engineering.loom.errors import LoomError, LoomInputError, NoFuseError, NoWireError
from engineering.loom.faults import Fault, FaultKind, FaultyListError
from engineering.loom.fuses import FUSE_SOURCE, FUSES, Fuse
from engineering.loom.inputs import (
    INSULATIONS,
    LOADS,
    SYSTEMS_V,
    CircuitInputs,
    Insulation,
    Load,
    Return,
)
from engineering.loom.wires import WIRE_SOURCES, WIRES, Series, Wire

__all__ = [
    "FUSES",
    "FUSE_SOURCE",
    "INSULATIONS",
    "LOADS",
    "SYSTEMS_V",
    "WIRES",
    "WIRE_SOURCES",
    "CircuitInputs",
    "CircuitResult",
    "Failure",
    "Fault",
    "FaultKind",
    "FaultyListError",
    "Fuse",
    "Insulation",
    "Load",
    "LoomError",
    "LoomInputError",
    "NoFuseError",
    "NoWireError",
    "Return",
    "Rule",
    "Series",
    "SizeOutcome",
    "Wire",
    "size_circuit",
]

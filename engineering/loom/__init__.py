"""Wires of a car: one circuit's conductor and fuse, with the reason. Knows no Django."""

from engineering.loom.circuit import CircuitResult, Failure, Rule, SizeOutcome, size_circuit
from engineering.loom.errors import LoomError, LoomInputError, NoFuseError, NoWireError
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

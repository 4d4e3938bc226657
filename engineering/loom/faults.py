"""What can be wrong with a wire list."""

from dataclasses import dataclass
from enum import StrEnum

from engineering.loom.errors import LoomError


class FaultKind(StrEnum):
    """Kinds of fault, in the order in which they are shown."""

    NUMBER = "figure that cannot be meant"
    NAME = "name unknown or used twice"
    LABEL = "two wires with one label"
    CAVITY = "cavity used twice"
    NOWHERE = "wire to nowhere"
    RING = "ring of wires"
    SHORT = "supply straight to ground"
    PROTECTION = "circuit without protection"
    FEED = "component without a feed"
    GROUND = "ground path missing"
    CONTACT = "too much for a contact"
    DEVICE = "device does not suit its load"
    OVERLOAD = "more than the supply gives"
    ROUTE = "no route"
    HEAT = "too hot for the insulation"
    SIZE = "no conductor passes"


@dataclass(frozen=True)
class Fault:
    """One thing to put right.

    Parameters
    ----------
    kind : FaultKind
        What kind of fault.
    thing : str
        Name of the wire, component, device or run at fault.
    field : str
        Which of its figures, by its name in the list; empty where it is the thing as a whole.
    message : str
        What is wrong and what to do, as a sentence.
    wires : tuple of str
        Labels of the wires that cannot be trusted until it is mended.
    """

    kind: FaultKind
    thing: str
    field: str
    message: str
    wires: tuple[str, ...] = ()


class FaultyListError(LoomError):
    """A list with figures or names that cannot be meant; nothing was worked out.

    Parameters
    ----------
    faults : tuple of Fault
        All of them, so that they can be mended in one go.
    """

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__(faults[0].field, " ".join(fault.message for fault in faults))
        self.faults = faults

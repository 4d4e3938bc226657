"""How much of the time the usual loads of a car are on, to start a budget: common practice, no source."""

from dataclasses import dataclass

from engineering.loom.generic import GENERIC
from engineering.loom.wire_list import Component, Nature


@dataclass(frozen=True)
class Shares:
    """Share of the time that a load is on.

    Parameters
    ----------
    idle : float
        At idle, at night, in rain [-].
    cruise : float
        At a steady speed by day [-].
    crank : float
        While the starter turns [-].
    """

    idle: float
    cruise: float
    crank: float


UNKNOWN = Shares(1.0, 1.0, 0.0)
"""Of what is of no generic circuit: rather too much than too little."""

OFF = Shares(0.0, 0.0, 0.0)

BY_CIRCUIT: dict[str, Shares] = {
    "Dip beam": Shares(1, 0, 0), "Side lamps, left": Shares(1, 0, 0), "Side lamps, right": Shares(1, 0, 0),
    "Stop lamps": Shares(1, 0.05, 0), "Indicators": Shares(0.5, 0.05, 0), "Ignition": Shares(1, 1, 1),
    "Engine control": Shares(1, 1, 1), "Fuel pump": Shares(1, 1, 1), "Radiator fan": Shares(0.5, 0.2, 0),
    "Starter control": Shares(0, 0, 1), "Instruments": Shares(1, 1, 1), "Wipers": Shares(1, 0, 0),
    "Washer": Shares(0.05, 0, 0), "Heater blower": Shares(1, 0.5, 0), "Heated rear window": Shares(1, 0, 0),
    "Radio": Shares(1, 1, 0), "Main beam": OFF, "Reversing lamps": OFF, "Rear fog lamp": OFF, "Horns": OFF,
    "Windows": OFF, "Locks": OFF, "Interior lamps": OFF, "Socket": OFF,
}  # fmt: skip
"""By the name of a generic circuit."""

_OF_LOAD = {load.name: BY_CIRCUIT[circuit.name] for circuit in GENERIC for load in circuit.loads}


def suggested(components: tuple[Component, ...]) -> tuple[tuple[Component, Shares], ...]:
    """Shares to start from.

    Parameters
    ----------
    components : tuple of Component
        What takes current; alternators and starters are left out.

    Returns
    -------
    tuple of (Component, Shares)
        In their order; of components that are never on together only the first unknown one is on.

    Examples
    --------
    >>> from engineering.loom.wire_list import Pin
    >>> (fan, shares), = suggested((Component("Fan motor", Pin("F", "1"), None, 15.0),))
    >>> shares.idle, shares.cruise
    (0.5, 0.2)
    """
    found, taken = [], set()
    for component in components:
        if component.nature in (Nature.CHARGER, Nature.STARTER):
            continue
        shares = _OF_LOAD.get(component.name, UNKNOWN)
        if component.one_of and component.name not in _OF_LOAD:
            shares = OFF if component.one_of in taken else shares
            taken.add(component.one_of)
        found.append((component, shares))
    return tuple(found)

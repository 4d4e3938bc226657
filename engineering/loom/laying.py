"""The wires of a loom in their runs, as arrays: one row for each wire in each run."""

import itertools
from dataclasses import dataclass, field

import numpy as np

from engineering.loom.bundles import Floats, Places
from engineering.loom.demands import Demand, Demands
from engineering.loom.faults import Fault, FaultKind
from engineering.loom.routes import Route
from engineering.loom.wire_list import LoomList

STANDING_C = 50.0
"""Surroundings of a wire that lies in no run and touches none: common practice, no source."""


@dataclass
class Laid:
    """Wires in their runs. Those that can be sized come first.

    Parameters
    ----------
    demands : list of Demand
        All wires that lie somewhere.
    sized : int
        How many of them can be sized.
    runs : list of str
        Names of the runs; after them a joint for each place where wires lie in no run.
    ambient_c : ndarray, shape (n,)
        Temperature round each run [°C].
    row_wire, row_run : ndarray of int, shape (m,)
        Wire and run of each row, in the order of the wires.
    row_m : ndarray, shape (m,)
        Length of the wire in that run; 0 at a joint [m].
    length_m : ndarray, shape (w,)
        Cut length of each wire [m].
    faults : tuple of Fault
        Wires in places as hot as their insulation.
    """

    demands: list[Demand]
    sized: int
    runs: list[str]
    ambient_c: Floats
    row_wire: Places
    row_run: Places
    row_m: Floats
    length_m: Floats
    faults: tuple[Fault, ...]
    first_row: Places = field(init=False)
    heat_a: Floats = field(init=False)
    current_a: Floats = field(init=False)
    floor_mm2: Floats = field(init=False)
    rated_c: Floats = field(init=False)

    def __post_init__(self) -> None:
        self.first_row = np.searchsorted(self.row_wire, np.arange(len(self.demands)))
        self.heat_a = np.array([demand.heat_a for demand in self.demands], dtype=float)
        self.current_a = np.array([demand.current_a for demand in self.demands], dtype=float)
        self.floor_mm2 = np.array(
            [max(demand.floor_mm2, demand.wire.given_mm2 or 0.0) for demand in self.demands], dtype=float
        )
        self.rated_c = np.array([demand.wire.insulated.rated_c for demand in self.demands], dtype=float)

    def least(self, rows: Floats) -> Floats:
        """Least over the rows of each wire."""
        return np.asarray(np.minimum.reduceat(rows, self.first_row, axis=0))

    def most(self, rows: Floats) -> Floats:
        """Most over the rows of each wire."""
        return np.asarray(np.maximum.reduceat(rows, self.first_row, axis=0))

    def total(self, rows: Floats) -> Floats:
        """Sum over the rows of each wire."""
        return np.asarray(np.add.reduceat(rows, self.first_row, axis=0))


def lay(loom: LoomList, asked: Demands, routes: dict[str, Route]) -> Laid:
    """Put the wires into their runs.

    Parameters
    ----------
    loom : LoomList
        The list.
    asked : Demands
        What every wire is asked for.
    routes : dict of str to Route
        Where they lie.

    Returns
    -------
    Laid
        A wire in a place as hot as its insulation may get is laid, but cannot be sized.
    """
    place_of = {run.name: number for number, run in enumerate(loom.runs)}
    names = list(place_of)
    ambient = [run.ambient_c for run in loom.runs]
    hottest_at: dict[str, float] = {}
    for run in loom.runs:
        for joint in (run.start, run.end):
            hottest_at[joint] = max(hottest_at.get(joint, run.ambient_c), run.ambient_c)

    def place_at(joint: str) -> int:
        key = f"joint {joint}"
        if key not in place_of:
            place_of[key] = len(names)
            names.append(key)
            ambient.append(hottest_at.get(joint, STANDING_C))
        return place_of[key]

    fit: list[tuple[Demand, list[int]]] = []
    unfit: list[tuple[Demand, list[int]]] = []
    faults = []
    for label, demand in (*asked.wires.items(), *asked.idle.items()):
        route = routes.get(label)
        if route is None:
            continue
        places = [place_of[run] for run in route.runs] or [place_at(route.joints[0])]
        hottest_c = max([ambient[place] for place in places])
        too_hot = hottest_c >= demand.wire.insulated.limit_c
        if too_hot and label in asked.wires:
            hottest = next(place for place in places if ambient[place] == hottest_c)
            faults.append(_too_hot(demand, names[hottest], hottest_c))
        (unfit if too_hot or label not in asked.wires else fit).append((demand, places))
    laid = [*fit, *unfit]
    row_run = np.array(list(itertools.chain.from_iterable(places for _, places in laid)), dtype=np.intp)
    row_wire = np.repeat(np.arange(len(laid)), [len(places) for _, places in laid])
    place_m = np.zeros(len(names))
    place_m[: len(loom.runs)] = [run.length_mm / 1000 for run in loom.runs]
    demands = [demand for demand, _ in laid]
    return Laid(
        demands,
        len(fit),
        names,
        np.array(ambient, dtype=float),
        row_wire.astype(np.intp),
        row_run,
        place_m[row_run],
        np.array([routes[demand.wire.label].cut_mm / 1000 for demand in demands], dtype=float),
        tuple(faults),
    )


def _too_hot(demand: Demand, place: str, ambient_c: float) -> Fault:
    insulation = demand.wire.insulated
    words = (
        f"Wire {demand.wire.label}: {ambient_c:g} °C in {place} leaves insulation of "
        f"{insulation.rated_c:g} °C no room to warm up (its conductor may reach {insulation.limit_c:g} °C). "
        "Take a higher class, move the wire, or shield the run."
    )
    return Fault(FaultKind.HEAT, demand.wire.label, "insulation", words, (demand.wire.label,))

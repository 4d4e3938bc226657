"""What comes out of a wire list: each wire with its size and its reason, each load with its voltage."""

from dataclasses import dataclass, field

from engineering.loom.circuit import Rule
from engineering.loom.circuits import Circuits
from engineering.loom.faults import Fault
from engineering.loom.protection import Rated
from engineering.loom.routes import Route, RouteBook
from engineering.loom.rules import Memo
from engineering.loom.wire_list import LoomList, WireLine
from engineering.loom.wires import Wire


@dataclass(frozen=True)
class SizedWire:
    """One wire with its conductor.

    Parameters
    ----------
    wire : WireLine
        Its line of the list.
    size : Wire
        The smallest conductor that passes every rule, or the given one.
    rule : Rule or None
        The rule that asks for this size; None where the thinnest passes, or where the size is given.
    why : str
        The same as a sentence, with what the next size down would do.
    smaller : Wire or None
        The next size down.
    device : str
        Name of what protects it; empty for signals, straps and starter cables.
    rating_a : float
        Rating that it has to bear; 0 where there is none [A].
    bears_a : float
        Largest rating that it bears [A].
    current_a : float
        Steady current of all its loads [A].
    capacity_a : float
        Current that it carries in its hottest run among the others [A].
    running_c : float
        Temperature of its conductor where it is hottest, everything switched on [°C].
    hottest : str
        The run where that is.
    drop_v : float
        Voltage that it loses at its steady current, at running temperature [V].
    loss_w : float
        Heat that it makes [W].
    short_a : float
        Current of a short at its far end, at least; infinite for returns and signals [A].
    faults : tuple of Fault
        What a given size does not pass.
    as_it_stands : Wire or None
        The next size down, where it would pass beside the others as they were rounded up; taking it costs the
        promise that no later change thins a wire.
    """

    wire: WireLine
    size: Wire
    rule: Rule | None
    why: str
    smaller: Wire | None
    device: str
    rating_a: float
    bears_a: float
    current_a: float
    capacity_a: float
    running_c: float
    hottest: str
    drop_v: float
    loss_w: float
    short_a: float
    faults: tuple[Fault, ...] = ()
    as_it_stands: Wire | None = None


@dataclass(frozen=True)
class LoadVoltage:
    """What arrives at one component.

    Parameters
    ----------
    component : str
        Its name.
    at_load_v : float
        Voltage between its terminals with everything on, the supply at its nominal voltage [V].
    drop_v, drop_percent : float
        What is lost there and back, body included [V, % of the nominal voltage].
    limit_v : float
        Most that its class may lose [V].
    """

    component: str
    at_load_v: float
    drop_v: float
    drop_percent: float
    limit_v: float


@dataclass(frozen=True)
class RunState:
    """What one run holds.

    Parameters
    ----------
    name : str
        Of the run; or of a joint where wires lie in no run.
    ambient_c : float
        Temperature round it [°C].
    core_c : float
        Temperature in the middle of its bundle with everything on [°C].
    wires : tuple of str
        Labels of the wires in it.
    loaded : int
        How many of them count as loaded.
    """

    name: str
    ambient_c: float
    core_c: float
    wires: tuple[str, ...]
    loaded: int


@dataclass(frozen=True)
class LoomResult:
    """A loom, worked out.

    Parameters
    ----------
    loom : LoomList
        The list that it was worked out from.
    wires : dict of str to SizedWire
        By label, in the order of the list; a wire that is not here has its reason in `faults`.
    faults : tuple of Fault
        Everything to put right.
    loads : dict of str to LoadVoltage
        By component; only those whose wires all have a size.
    devices : dict of str to Rated
        Settled ratings by name.
    runs : dict of str to RunState
        By name.
    routes : dict of str to Route
        By label.
    circuits : Circuits
        Who feeds whom.
    book : RouteBook
        The routes, to be found again quickly.
    memo : Memo
        What need not be worked out again.
    """

    loom: LoomList
    wires: dict[str, SizedWire]
    faults: tuple[Fault, ...]
    loads: dict[str, LoadVoltage]
    devices: dict[str, Rated]
    runs: dict[str, RunState]
    routes: dict[str, Route]
    circuits: Circuits = field(repr=False, compare=False)
    book: RouteBook = field(repr=False, compare=False)
    memo: Memo = field(repr=False, compare=False)

    def hottest_first(self) -> tuple[SizedWire, ...]:
        """The wires by running temperature."""
        return tuple(sorted(self.wires.values(), key=lambda wire: -wire.running_c))

    @property
    def loss_w(self) -> float:
        """Heat of all wires with everything on [W]."""
        return sum(wire.loss_w for wire in self.wires.values())

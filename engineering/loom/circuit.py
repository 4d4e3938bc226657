"""One circuit: the smallest wire that passes every rule, its fuse, and what the next size down would do."""

from dataclasses import dataclass, replace
from enum import StrEnum

from engineering.loom.copper import resistance_factor, voltage_drop_v
from engineering.loom.errors import NoFuseError, NoWireError
from engineering.loom.fuses import (
    FUSES,
    LONG_CARRIED,
    SHORT_CARRIED,
    SURE_TO_BLOW,
    Fuse,
    smallest_fuse_for,
)
from engineering.loom.inputs import INSULATIONS, SHORT_TERM_C, CircuitInputs, check_circuit
from engineering.loom.thermal import capacity_a, running_c
from engineering.loom.wires import WIRES, Wire


class Rule(StrEnum):
    """What a wire has to pass; where several ask for the same size, the first of them is named."""

    DROP = "voltage drop"
    PROTECTION = "protection by the fuse"
    CAPACITY = "current capacity"
    MECHANICAL = "thinnest wire allowed"


@dataclass(frozen=True)
class Failure:
    """One rule that a wire does not pass.

    Parameters
    ----------
    rule : Rule
        The rule.
    words : str
        What the wire would do, and the limit.
    """

    rule: Rule
    words: str


@dataclass(frozen=True)
class SizeOutcome:
    """What one size of wire would do in the circuit.

    Parameters
    ----------
    wire : Wire
        The size.
    running_c : float
        Temperature of its conductor at the current of the load, not above the limit of its insulation [°C].
    drop_v, drop_percent : float
        Voltage lost on the whole circuit at that temperature [V, % of the nominal voltage].
    capacity_a : float
        Current that brings it to the limit of its insulation [A].
    bears_fuse_a : float
        Largest fuse that it bears [A].
    short_a : float
        Current of a short at the far end, from a battery without resistance [A].
    failures : tuple of Failure
        Rules that it does not pass; empty where it may be used.
    """

    wire: Wire
    running_c: float
    drop_v: float
    drop_percent: float
    capacity_a: float
    bears_fuse_a: float
    short_a: float
    failures: tuple[Failure, ...]

    def fails(self, rule: Rule) -> bool:
        """Whether it does not pass this rule."""
        return any(failure.rule is rule for failure in self.failures)


@dataclass(frozen=True)
class CircuitResult:
    """A wire and its fuse.

    Parameters
    ----------
    chosen : SizeOutcome
        The smallest size that passes every rule.
    fuse : Fuse
        The smallest standard fuse that the load does not wear out.
    governed_by : Rule or None
        The rule that asks for this size; None where even the thinnest of the series passes.
    why : str
        The same as a sentence, with what the next size down would do.
    smaller : SizeOutcome or None
        The next size down.
    sizes : tuple of SizeOutcome
        Every size of the series, thinnest first.
    advice : str
        Where heat sets the size: the insulation with which a thinner wire would do; empty where none would.
    """

    chosen: SizeOutcome
    fuse: Fuse
    governed_by: Rule | None
    why: str
    smaller: SizeOutcome | None
    sizes: tuple[SizeOutcome, ...]
    advice: str = ""


def size_circuit(given: CircuitInputs) -> CircuitResult:
    """Choose the wire and the fuse of one circuit.

    Parameters
    ----------
    given : CircuitInputs
        The load, its run and its limits.

    Returns
    -------
    CircuitResult
        The smallest standard wire that passes every rule, and its fuse.

    Raises
    ------
    LoomInputError
        If a figure is not a number, out of its range, or at odds with another.
    NoFuseError
        If no standard fuse is large enough for the load.
    NoWireError
        If no wire of the series passes; says which rule stands in the way, and the way out.

    Notes
    -----
    A wire passes when (a) the whole circuit, with the conductor at its running temperature, loses no more
    than allowed; (b) the load's current leaves the conductor at or below the class of its insulation less
    10 °C; (c) so does the fuse's rating, while 1.1 times that rating stays within the class, 1.35 times
    within its short-term limit (25 °C more), and a short at the far end draws at least twice the rating;
    (d) it is not thinner than allowed. All wires of a bunch are taken as alike and loaded alike.

    Examples
    --------
    >>> from engineering.loom import INSULATIONS, LOADS, CircuitInputs, Return
    >>> result = size_circuit(CircuitInputs(12, LOADS["lamp"], 9.2, 4.0, Return.BODY, 0.1, 3, None, 60,
    ...                                     INSULATIONS["b"], 0, 0.5))
    >>> result.chosen.wire.name, str(result.fuse), str(result.governed_by)
    ('4 mm²', '15 A blade', 'voltage drop')
    """
    check_circuit(given)
    result = _sized(given)
    if result.governed_by not in (Rule.PROTECTION, Rule.CAPACITY):
        return result
    return replace(result, advice=_advice(given, result))


def _sized(given: CircuitInputs) -> CircuitResult:
    fuse = smallest_fuse_for(given.current_a * given.load.fuse_factor)
    if fuse is None:
        raise NoFuseError(
            "current_a",
            f"Current: {given.current_a:g} A asks for a fuse of "
            f"{given.current_a * given.load.fuse_factor:.0f} A, and the largest standard one is "
            f"{FUSES[-1].rating_a:g} A. Split the load over two circuits.",
        )
    sizes = tuple(_outcome(wire, given, fuse) for wire in WIRES[given.series])
    position = next((number for number, size in enumerate(sizes) if not size.failures), None)
    if position is None:
        raise _no_wire(sizes[-1])
    chosen, smaller = sizes[position], sizes[position - 1] if position else None
    governed_by = _governing_rule(sizes) if smaller else None
    return CircuitResult(chosen, fuse, governed_by, _why(chosen, smaller, governed_by), smaller, sizes)


def _advice(given: CircuitInputs, result: CircuitResult) -> str:
    for better in INSULATIONS.values():
        if better.rated_c > given.insulation.rated_c:
            other = _sized(replace(given, insulation=better))
            if other.chosen.wire.area_mm2 < result.chosen.wire.area_mm2:
                return f"Insulation of {better.name} would do with {other.chosen.wire.name}."
    return ""


def _outcome(wire: Wire, given: CircuitInputs, fuse: Fuse) -> SizeOutcome:
    limit_c, rated_c = given.insulation.limit_c, given.insulation.rated_c
    bunch = (given.ambient_c, given.loaded_wires)
    hot_c = min(running_c(wire, given.current_a, *bunch), limit_c)
    ohm_per_m = wire.milliohm_per_m / 1000
    drop_v = voltage_drop_v(given.current_a, ohm_per_m, given.conductor_m, hot_c) + given.body_v
    wire_a = capacity_a(wire, limit_c, *bunch)
    outcome = SizeOutcome(
        wire=wire,
        running_c=hot_c,
        drop_v=drop_v,
        drop_percent=100 * drop_v / given.system_v,
        capacity_a=wire_a,
        bears_fuse_a=min(
            wire_a,
            capacity_a(wire, rated_c, *bunch) / LONG_CARRIED,
            capacity_a(wire, rated_c + SHORT_TERM_C, *bunch) / SHORT_CARRIED,
        ),
        short_a=given.system_v
        / (ohm_per_m * given.conductor_m * resistance_factor(hot_c) + given.body_v / given.current_a),
        failures=(),
    )
    return SizeOutcome(**{**vars(outcome), "failures": _failures(outcome, given, fuse)})


def _failures(size: SizeOutcome, given: CircuitInputs, fuse: Fuse) -> tuple[Failure, ...]:
    name, found = size.wire.name, []
    if size.drop_v > given.allowed_v:
        limit_percent = 100 * given.allowed_v / given.system_v
        found.append(
            Failure(
                Rule.DROP,
                f"{name} would drop {size.drop_percent:.1f} % ({size.drop_v:.2f} V), "
                f"limit {limit_percent:.3g} % ({given.allowed_v:.2f} V)",
            )
        )
    if size.bears_fuse_a < fuse.rating_a:
        found.append(
            Failure(
                Rule.PROTECTION,
                f"{name} bears a fuse of {size.bears_fuse_a:.1f} A at most, and the load asks for "
                f"{fuse.rating_a:g} A",
            )
        )
    if size.short_a < SURE_TO_BLOW * fuse.rating_a:
        found.append(
            Failure(
                Rule.PROTECTION,
                f"a short at the far end of {name} would draw only {size.short_a:.1f} A, and the "
                f"{fuse.rating_a:g} A fuse needs {SURE_TO_BLOW * fuse.rating_a:g} A to blow",
            )
        )
    if size.capacity_a < given.current_a:
        found.append(
            Failure(
                Rule.CAPACITY,
                f"{name} carries {size.capacity_a:.1f} A here before its conductor passes "
                f"{given.insulation.limit_c:g} °C, and the load draws {given.current_a:g} A",
            )
        )
    if size.wire.area_mm2 < given.least_area_mm2:
        found.append(
            Failure(Rule.MECHANICAL, f"{name} is thinner than the {given.least_area_mm2:g} mm² allowed here")
        )
    return tuple(found)


def _governing_rule(sizes: tuple[SizeOutcome, ...]) -> Rule:
    """The rule that alone would already ask for the largest size."""
    too_thin = {rule: sum(size.fails(rule) for size in sizes) for rule in Rule}
    return max(Rule, key=lambda rule: too_thin[rule])


def _why(chosen: SizeOutcome, smaller: SizeOutcome | None, governed_by: Rule | None) -> str:
    if smaller is None or governed_by is None:
        return f"{chosen.wire.name} is the thinnest size of the series, and it passes every rule."
    words = next(failure.words for failure in smaller.failures if failure.rule is governed_by)
    return f"The {governed_by} sets the size: {words}."


_WAYS_OUT = {
    Rule.DROP: (
        "length_m",
        "Shorten the run, allow more drop, or bring a relay and its feed nearer to the load.",
    ),
    Rule.PROTECTION: ("current_a", "Split the load over two circuits, or take insulation of a higher class."),
    Rule.CAPACITY: ("current_a", "Split the load, unbunch the run, or take insulation of a higher class."),
    Rule.MECHANICAL: ("least_area_mm2", "Give a thinner wire as the thinnest allowed."),
}


def _no_wire(largest: SizeOutcome) -> NoWireError:
    failure = largest.failures[0]
    field, way_out = _WAYS_OUT[failure.rule]
    return NoWireError(field, f"No wire passes: even {failure.words}. {way_out}")

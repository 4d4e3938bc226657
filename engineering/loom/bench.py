"""At the bench: the steps of a wire, what a newer list undoes, and what a meter should show."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum

from engineering.loom.copper import resistance_factor, voltage_drop_v
from engineering.loom.cutting import CutRow
from engineering.loom.errors import LoomInputError
from engineering.loom.wires import WIRES, Wire

LEAST_MM = 0.5
"""A cut length that moves by less has not changed."""

COPPER_SPREAD = 1.05
"""Most by which a sound wire passes the standard's resistance, by its maker's table and the tape: common
practice, no source."""

SHOP_C = 30.0
"""Warmest workshop in which continuity is measured: common practice, no source [°C]."""

LOADED_C = 40.0
"""A conductor in the workshop while it carries a test current: common practice, no source [°C]."""

CRIMP_OHM = 0.003
"""Most that a sound crimp and its contact add, for each end: common practice, no source [ohm]."""

LEADS_OHM = 0.1
"""What a plain meter is unsure of with its leads held together first: common practice, no source [ohm]."""

TOO_LITTLE = 0.5
"""A wire that shows less than this share of its resistance is another one, or has a second way."""


class Step(StrEnum):
    """What is done to a wire, in the order of the bench."""

    CUT = "cut"
    LABELLED = "labelled"
    LAID = "laid"
    TERMINATED = "terminated"
    TESTED = "tested"


ALL_STEPS = frozenset(Step)

VOIDS: dict[str, frozenset[Step]] = {
    "size": ALL_STEPS,
    "colour": ALL_STEPS,
    "insulation": ALL_STEPS,
    "cut length": ALL_STEPS,
    "ends": frozenset({Step.LABELLED, Step.TERMINATED, Step.TESTED}),
    "route": frozenset({Step.LAID, Step.TERMINATED, Step.TESTED}),
    "terminals": frozenset({Step.TERMINATED, Step.TESTED}),
}
"""Which steps no longer hold where that about a wire is different."""


@dataclass(frozen=True)
class Difference:
    """One thing about a wire that is not as it was.

    Parameters
    ----------
    what : str
        A key of `VOIDS`.
    was, now : str
        Before and after, with unit.
    """

    what: str
    was: str
    now: str

    def __str__(self) -> str:
        return f"{self.what} {self.was} → {self.now}"


@dataclass(frozen=True)
class WireChange:
    """What a newer list means for one wire.

    Parameters
    ----------
    label : str
        Of the wire.
    kind : str
        "new", "changed" or "gone".
    differences : tuple of Difference
        What is different; empty where it is new or gone.
    voids : frozenset of Step
        Steps that no longer hold.
    """

    label: str
    kind: str
    differences: tuple[Difference, ...]
    voids: frozenset[Step]


def bench_changes(before: Iterable[CutRow], after: Iterable[CutRow]) -> tuple[WireChange, ...]:
    """What of the work at the bench a newer cut list undoes.

    Parameters
    ----------
    before, after : iterable of CutRow
        The cut list at the bench, and the newer one.

    Returns
    -------
    tuple of WireChange
        In the order of the newer list, those that are gone after them. A wire that only moved in the order
        of laying, or is named after another circuit, is not among them.
    """
    old = {row.label: row for row in before}
    found: list[WireChange] = []
    seen = set()
    for row in after:
        seen.add(row.label)
        if row.label not in old:
            found.append(WireChange(row.label, "new", (), frozenset()))
            continue
        differences = tuple(_differences(old[row.label], row))
        if differences:
            voids = frozenset().union(*(VOIDS[each.what] for each in differences))
            found.append(WireChange(row.label, "changed", differences, voids))
    gone = [WireChange(label, "gone", (), ALL_STEPS) for label in old if label not in seen]
    return (*found, *gone)


def _differences(was: CutRow, now: CutRow) -> Iterable[Difference]:
    if was.size != now.size:
        yield Difference("size", was.size, now.size)
    if was.colour != now.colour:
        yield Difference("colour", was.colour or "none", now.colour or "none")
    if was.insulation and now.insulation and was.insulation != now.insulation:
        yield Difference("insulation", was.insulation, now.insulation)
    if abs(was.cut_mm - now.cut_mm) >= LEAST_MM:
        yield Difference("cut length", f"{was.cut_mm:.0f} mm", f"{now.cut_mm:.0f} mm")
    if (was.start, was.end) != (now.start, now.end):
        yield Difference("ends", f"{was.start} to {was.end}", f"{now.start} to {now.end}")
    if was.route != now.route:
        yield Difference("route", " ".join(was.route) or "no run", " ".join(now.route) or "no run")
    if (was.start_terminal, was.end_terminal) != (now.start_terminal, now.end_terminal):
        yield Difference(
            "terminals",
            f"{was.start_terminal} and {was.end_terminal}",
            f"{now.start_terminal} and {now.end_terminal}",
        )


def wire_named(size: str) -> Wire | None:
    """The conductor that a cut list calls by that name.

    Parameters
    ----------
    size : str
        As printed: "2.5 mm²", "14 AWG".

    Returns
    -------
    Wire or None
        None where no series has it.

    Examples
    --------
    >>> wire_named("2.5 mm²").milliohm_per_m
    7.6
    """
    return next((wire for series in WIRES.values() for wire in series if wire.name == size), None)


def expected_ohm(size: str, length_mm: float) -> float:
    """Resistance of a wire from end to end.

    Parameters
    ----------
    size : str
        Name of its conductor.
    length_mm : float
        Its length [mm].

    Returns
    -------
    float
        At 20 °C, by the largest resistance per metre of the standard; without crimps [ohm].

    Raises
    ------
    LoomInputError
        If there is no such conductor.

    Examples
    --------
    >>> round(expected_ohm("2.5 mm²", 4000), 4)
    0.0304
    """
    wire = wire_named(size)
    if wire is None:
        raise LoomInputError("size", f"“{size}” is no conductor of a series known here.")
    return wire.milliohm_per_m / 1000 * length_mm / 1000


@dataclass(frozen=True)
class Verdict:
    """What a reading says of a wire.

    Parameters
    ----------
    passes : bool
        Whether it is what a sound wire shows.
    expected : float
        What the calculation gives [ohm or V].
    least, most : float
        Between which a sound wire shows [ohm or V].
    why : str
        The same as a sentence, with what to look for.
    """

    passes: bool
    expected: float
    least: float
    most: float
    why: str


def continuity_verdict(
    size: str, length_mm: float, reading_ohm: float | None, *, four_wire: bool = False
) -> Verdict:
    """Compare a reading of continuity with the conductor.

    Parameters
    ----------
    size : str
        Name of the conductor.
    length_mm : float
        Length of the wire [mm].
    reading_ohm : float or None
        What the meter shows; None where it shows no continuity [ohm].
    four_wire : bool
        Whether the meter has four leads, so that its own do not count.

    Returns
    -------
    Verdict
        The most is the copper in a warm workshop, two crimps, and for a meter of two leads what these leave
        unsure. So a plain meter finds a broken or swapped wire, not a poor crimp: the drop at a current does.

    Raises
    ------
    LoomInputError
        If there is no such conductor, or the reading is below 0.

    Examples
    --------
    >>> continuity_verdict("2.5 mm²", 4000, 0.05).passes
    True
    """
    expected = expected_ohm(size, length_mm)
    leads = 0.0 if four_wire else LEADS_OHM
    most = expected * COPPER_SPREAD * resistance_factor(SHOP_C) + 2 * CRIMP_OHM + leads
    least = max(0.0, TOO_LITTLE * expected - leads)
    if reading_ohm is None:
        why = "No continuity: broken, or an end in the wrong cavity. Try from end to end before cutting."
        return Verdict(False, expected, least, most, why)
    _check_reading(reading_ohm, "reading_ohm", "ohm")
    return _verdict(
        reading_ohm,
        expected,
        least,
        most,
        ohm_words,
        "a poor crimp, cut strands, a thinner or longer wire",
    )


def drop_verdict(
    size: str, length_mm: float, reading_v: float, current_a: float, warmest_c: float = LOADED_C
) -> Verdict:
    """Compare a voltage drop, measured while a current flows, with the conductor.

    Parameters
    ----------
    size : str
        Name of the conductor.
    length_mm : float
        Length of the wire [mm].
    reading_v : float
        Drop from contact to contact [V].
    current_a : float
        Current while it was read [A].
    warmest_c : float
        Hottest that the conductor may be by then: on the car its running temperature by the sheet [°C].

    Returns
    -------
    Verdict
        Expected is the copper at 20 °C; the most, the copper at `warmest_c` and two crimps.

    Raises
    ------
    LoomInputError
        If there is no such conductor, the drop is below 0, or no current flows.

    Examples
    --------
    >>> round(drop_verdict("2.5 mm²", 4000, 0.31, 10).expected, 3)
    0.304
    """
    _check_reading(reading_v, "reading_v", "V")
    if not 0 < current_a <= 2000:
        raise LoomInputError("current_a", f"Current: more than 0 A, 2000 A at most, not {current_a:g} A.")
    ohm = expected_ohm(size, length_mm)
    expected = voltage_drop_v(current_a, ohm, 1)
    most = voltage_drop_v(current_a, ohm * COPPER_SPREAD, 1, warmest_c) + 2 * CRIMP_OHM * current_a
    least = TOO_LITTLE * expected
    return _verdict(
        reading_v, expected, least, most, volt_words, "a poor crimp or contact, cut strands, a thinner wire"
    )


def _check_reading(reading: float, name: str, unit: str) -> None:
    if not 0 <= reading < float("inf"):
        raise LoomInputError(name, f"Reading: not less than 0 {unit}, not {reading:g} {unit}.")


def _verdict(
    reading: float,
    expected: float,
    least: float,
    most: float,
    said: Callable[[float], str],
    look_for: str,
) -> Verdict:
    if reading > most:
        why = f"{said(reading)} is more than {said(most)}: look for {look_for}."
        return Verdict(False, expected, least, most, why)
    if reading < least:
        why = (
            f"{said(reading)} is less than {said(least)}: another wire than this one, or the current has a "
            "second way."
        )
        return Verdict(False, expected, least, most, why)
    return Verdict(True, expected, least, most, f"{said(reading)} is within {said(most)}.")


def ohm_words(ohm: float) -> str:
    """A resistance as a meter shows it.

    Parameters
    ----------
    ohm : float
        Resistance [ohm].

    Returns
    -------
    str
        In milliohm below 1 ohm.

    Examples
    --------
    >>> ohm_words(0.0304), ohm_words(2)
    ('30.4 mΩ', '2.00 Ω')
    """
    return f"{ohm:.2f} Ω" if ohm >= 1 else f"{1000 * ohm:.3g} mΩ"


def volt_words(volts: float) -> str:
    """A voltage as a meter shows it.

    Parameters
    ----------
    volts : float
        Voltage [V].

    Returns
    -------
    str
        In millivolt below 1 volt.

    Examples
    --------
    >>> volt_words(0.304)
    '304 mV'
    """
    return f"{volts:.2f} V" if volts >= 1 else f"{1000 * volts:.3g} mV"

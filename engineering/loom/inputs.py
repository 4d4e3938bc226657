"""What a circuit is sized from, and the refusal of figures that cannot be meant."""

import math
from dataclasses import dataclass
from enum import StrEnum

from engineering.loom.errors import LoomInputError
from engineering.loom.wires import Series

SYSTEMS_V = (12, 24, 48)
LONGEST_M = 50.0
LEAST_A = 0.01
MOST_WIRES = 40
COLDEST_C = -40.0
DROP_PERCENT = (0.5, 15.0)
MARGIN_C = 10.0
"""Kept between a running conductor and the rating of its insulation: common practice, no source."""


class Return(StrEnum):
    """How the current gets back."""

    WIRE = "wire"
    BODY = "body"


@dataclass(frozen=True)
class Load:
    """A kind of load: how much above its current the fuse must be, and how much is still believable.

    Parameters
    ----------
    name : str
        For people.
    fuse_factor : float
        Least fuse rating as a multiple of the current [-].
    most_a : float
        Largest current that this sheet takes [A].
    why : str
        Reason of the factor, and where it comes from.
    """

    name: str
    fuse_factor: float
    most_a: float
    why: str


LOADS: dict[str, Load] = {
    "resistive": Load(
        "Heater, electronics, other steady load", 4 / 3, 150,
        "a fuse is loaded steadily to three quarters of its rating at most (makers' guides, from memory)",
    ),
    "lamp": Load(
        "Filament lamps", 1.5, 60,
        "a cold filament draws about ten times its current for some thousandths of a second (switch makers); "
        "factor 1.5 is common practice, no source",
    ),
    "motor": Load(
        "Motor", 2.0, 100,
        "a motor draws about six times its running current as it starts (a switch maker), three times the "
        "rating of a fuse twice its current; factor 2 is common practice, no source",
    ),
}  # fmt: skip
"""Loads by the name that a calc sheet stores."""


@dataclass(frozen=True)
class Insulation:
    """A temperature class of road-vehicle cable.

    Parameters
    ----------
    name : str
        For people.
    rated_c : float
        Temperature it bears for 3000 h [°C]; for a short while (240 h) it bears 25 °C more.
    """

    name: str
    rated_c: float

    @property
    def limit_c(self) -> float:
        """Temperature that the conductor may reach in steady use [°C]."""
        return self.rated_c - MARGIN_C


SHORT_TERM_C = 25.0

INSULATIONS: dict[str, Insulation] = {
    "a": Insulation("Class A, 85 °C (plain PVC)", 85),
    "b": Insulation("Class B, 100 °C (PVC thin wall)", 100),
    "c": Insulation("Class C, 125 °C (cross-linked)", 125),
    "d": Insulation("Class D, 150 °C", 150),
}
"""ISO 6722-1 temperature classes, from memory; by the name that a calc sheet stores."""


@dataclass(frozen=True)
class CircuitInputs:
    """Everything that one circuit is sized from.

    Parameters
    ----------
    system_v : int
        Nominal voltage: 12, 24 or 48 [V].
    load : Load
        Kind of load.
    current_a : float
        Steady current [A].
    length_m : float
        Length of the feed wire, one way, along its run [m].
    return_path : Return
        Back by a wire of the same size and length, or through the body.
    body_allowance_v : float
        What the body and its joints may lose at this current; counts only for a return through the body [V].
    drop_limit_percent, drop_limit_v : float or None
        Most that may be lost on the whole circuit: exactly one of the two [% of `system_v`, V].
    ambient_c : float
        Hottest surroundings along the run [°C].
    insulation : Insulation
        Temperature class of the wire.
    other_wires : int
        Other loaded wires in the same bunch, not counting this circuit's own return.
    least_area_mm2 : float
        Thinnest wire that stands handling here [mm^2].
    series : Series
        Metric sizes or gauge numbers.
    """

    system_v: int
    load: Load
    current_a: float
    length_m: float
    return_path: Return
    body_allowance_v: float
    drop_limit_percent: float | None
    drop_limit_v: float | None
    ambient_c: float
    insulation: Insulation
    other_wires: int
    least_area_mm2: float
    series: Series = Series.METRIC

    @property
    def allowed_v(self) -> float:
        """Most voltage that the circuit may lose [V]."""
        if self.drop_limit_v is not None:
            return self.drop_limit_v
        assert self.drop_limit_percent is not None, "check_circuit comes first"
        return self.system_v * self.drop_limit_percent / 100

    @property
    def loaded_wires(self) -> int:
        """Loaded wires in the bunch, the feed and its own return included."""
        return 1 + self.other_wires + (1 if self.return_path is Return.WIRE else 0)

    @property
    def body_v(self) -> float:
        """What is lost outside the wire [V]."""
        return self.body_allowance_v if self.return_path is Return.BODY else 0.0

    @property
    def conductor_m(self) -> float:
        """Wire that the current runs through [m]."""
        return self.length_m * (2 if self.return_path is Return.WIRE else 1)


def check_circuit(given: CircuitInputs) -> None:
    """Refuse figures that cannot be meant.

    Parameters
    ----------
    given : CircuitInputs
        The circuit.

    Raises
    ------
    LoomInputError
        Names the field at fault.
    """
    if given.system_v not in SYSTEMS_V:
        raise LoomInputError(
            "system_v",
            f"System: {given.system_v:g} V is not 12, 24 or 48 V; this sheet is for those direct-current "
            "systems only. Higher voltages need a competent electrical engineer.",
        )
    _check_current(given)
    _check_length(given.length_m)
    _check_surroundings(given)
    _check_drop(given)
    _check_number("least_area_mm2", "Thinnest wire", given.least_area_mm2)
    if given.least_area_mm2 <= 0:
        raise LoomInputError(
            "least_area_mm2", f"Thinnest wire: must be more than 0 mm², not {given.least_area_mm2:g} mm²."
        )


def _check_current(given: CircuitInputs) -> None:
    _check_number("current_a", "Current", given.current_a)
    if given.current_a < LEAST_A:
        raise LoomInputError(
            "current_a", f"Current: must be {LEAST_A:g} A or more, not {given.current_a:g} A."
        )
    if given.current_a > given.load.most_a:
        raise LoomInputError(
            "current_a",
            f"Current: {given.current_a:g} A is more than {given.load.most_a:g} A, the most this sheet "
            f"takes for “{given.load.name.lower()}”. Check the figure; battery and starter cables are not "
            "sized here.",
        )


def _check_length(length_m: float) -> None:
    _check_number("length_m", "Length one way", length_m)
    if length_m <= 0:
        raise LoomInputError("length_m", f"Length one way: must be more than 0 m, not {length_m:g} m.")
    if length_m > LONGEST_M:
        raise LoomInputError(
            "length_m",
            f"Length one way: {length_m:g} m is longer than any car, {LONGEST_M:g} m at most. Give metres, "
            "not millimetres.",
        )


def _check_surroundings(given: CircuitInputs) -> None:
    _check_number("ambient_c", "Hottest surroundings", given.ambient_c)
    if given.ambient_c < COLDEST_C:
        raise LoomInputError(
            "ambient_c",
            f"Hottest surroundings: {given.ambient_c:g} °C is below {COLDEST_C:g} °C; give the hottest place "
            "along the run.",
        )
    if given.ambient_c >= given.insulation.limit_c:
        raise LoomInputError(
            "ambient_c",
            f"Hottest surroundings: {given.ambient_c:g} °C leaves insulation of "
            f"{given.insulation.rated_c:g} °C no room to warm up (its conductor may reach "
            f"{given.insulation.limit_c:g} °C). Take a higher class, or move or shield the run.",
        )
    if given.other_wires < 0:
        raise LoomInputError("other_wires", "Other loaded wires: cannot be fewer than 0.")
    if given.loaded_wires > MOST_WIRES:
        raise LoomInputError(
            "other_wires",
            f"Other loaded wires: {given.loaded_wires} loaded wires in one bunch are more than "
            f"{MOST_WIRES}, for which the sums are checked. Count only wires loaded at the same time, or "
            "split the bunch.",
        )


def _check_drop(given: CircuitInputs) -> None:
    if given.drop_limit_percent is None and given.drop_limit_v is None:
        raise LoomInputError("drop_limit_percent", "Allowed drop: give it in per cent or in volts.")
    if given.drop_limit_percent is not None and given.drop_limit_v is not None:
        raise LoomInputError("drop_limit_v", "Allowed drop: give it in per cent or in volts, not both.")
    field = "drop_limit_percent" if given.drop_limit_v is None else "drop_limit_v"
    _check_number(field, "Allowed drop", given.allowed_v)
    low, high = (given.system_v * percent / 100 for percent in DROP_PERCENT)
    if not low <= given.allowed_v <= high:
        raise LoomInputError(
            field,
            f"Allowed drop: {given.allowed_v:g} V is {100 * given.allowed_v / given.system_v:.3g} % of "
            f"{given.system_v} V; give {DROP_PERCENT[0]:g} to {DROP_PERCENT[1]:g} % ({low:g} to {high:g} V).",
        )
    _check_number("body_allowance_v", "Allowance for the body", given.body_allowance_v)
    if given.body_allowance_v < 0:
        raise LoomInputError(
            "body_allowance_v",
            f"Allowance for the body: must not be below 0 V ({given.body_allowance_v:g} V).",
        )
    if given.body_v >= given.allowed_v:
        raise LoomInputError(
            "body_allowance_v",
            f"Allowance for the body: {given.body_v:g} V leaves nothing of the {given.allowed_v:.3g} V "
            "allowed for the wire. Allow more drop, or return by a wire.",
        )


def _check_number(field: str, words: str, value: float) -> None:
    if not math.isfinite(value):
        raise LoomInputError(field, f"{words}: give a number.")

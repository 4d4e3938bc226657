"""Alternator and battery: what is drawn in each situation, what is left to charge, how long it lasts."""

from dataclasses import dataclass

from engineering.loom.checks import number_fault
from engineering.loom.errors import LoomInputError
from engineering.loom.wire_list import LoomList, Nature

IDLE_SHARE = 0.5
"""Share of its rating that a hot alternator gives at idle, 0.4 to 0.6: common practice, no source."""

USABLE_SHARE = 0.5
"""Share of its capacity that a starter battery may give and still start: common practice, no source."""

RESERVE_A = 25.0
"""Current of the reserve-capacity test, which counts minutes at 27 °C down to 10.5 V."""


@dataclass(frozen=True)
class Situation:
    """What is switched on.

    Parameters
    ----------
    name : str
        For people.
    on : dict of str to float
        Share of the time that each component is on, 0 to 1; what is not named is off [-].
    alternator_share : float
        Share of its rating that the alternator gives; 0 with the engine off [-].
    """

    name: str
    on: dict[str, float]
    alternator_share: float


@dataclass(frozen=True)
class Plant:
    """Where the current comes from.

    Parameters
    ----------
    alternator_a : float
        Rated output [A].
    battery_ah : float
        Capacity by its 20-hour rating [Ah].
    usable_share : float
        Share of it that may be taken before the car no longer starts [-].
    drain_a : float
        What is drawn with the car locked and asleep [A].
    """

    alternator_a: float
    battery_ah: float
    usable_share: float = USABLE_SHARE
    drain_a: float = 0.05


@dataclass(frozen=True)
class Balance:
    """One situation, added up.

    Parameters
    ----------
    name : str
        Of the situation.
    drawn_a, given_a : float
        What the loads draw on average and what the alternator can give [A].
    charge_a : float
        What is left to charge the battery; negative where the battery gives [A].
    lasts_h : float or None
        How long the battery bears it; None where it is charged [h].
    largest : tuple of (str, float)
        The loads that draw most, largest first [A].
    """

    name: str
    drawn_a: float
    given_a: float
    charge_a: float
    lasts_h: float | None
    largest: tuple[tuple[str, float], ...]


def balances(loom: LoomList, plant: Plant, situations: tuple[Situation, ...]) -> tuple[Balance, ...]:
    """Add up what each situation draws and what is left to charge.

    Parameters
    ----------
    loom : LoomList
        The list, for the currents of its components.
    plant : Plant
        Alternator and battery.
    situations : tuple of Situation
        What is on in each.

    Returns
    -------
    tuple of Balance
        One for each situation, in their order.

    Raises
    ------
    LoomInputError
        If a figure cannot be meant, or a situation names a component that the list has not.
    """
    _check(plant)
    components = {component.name: component for component in loom.components}
    found = []
    for situation in situations:
        _check_situation(situation, set(components))
        drawn = {
            name: components[name].steady_a * share
            for name, share in situation.on.items()
            if components[name].nature not in (Nature.CHARGER, Nature.STARTER)
        }
        drawn_a, given_a = sum(drawn.values()), plant.alternator_a * situation.alternator_share
        charge_a = given_a - drawn_a
        lasts_h = plant.battery_ah * plant.usable_share / -charge_a if charge_a < 0 else None
        largest = tuple(sorted(drawn.items(), key=lambda pair: -pair[1])[:5])
        found.append(Balance(situation.name, drawn_a, given_a, charge_a, lasts_h, largest))
    return tuple(found)


def parked_days(plant: Plant) -> float:
    """How long the car may stand and still start.

    Parameters
    ----------
    plant : Plant
        Battery and drain; self-discharge is not counted.

    Returns
    -------
    float
        Days; infinite where nothing is drawn.

    Raises
    ------
    LoomInputError
        If a figure cannot be meant.

    Examples
    --------
    >>> parked_days(Plant(alternator_a=55, battery_ah=60, drain_a=0.05))
    25.0
    """
    _check(plant)
    return plant.battery_ah * plant.usable_share / plant.drain_a / 24 if plant.drain_a else float("inf")


def reserve_ah(minutes: float) -> float:
    """Charge that a reserve capacity stands for.

    Parameters
    ----------
    minutes : float
        Reserve capacity [min].

    Returns
    -------
    float
        Charge at the test's 25 A; the 20-hour capacity is larger [Ah].

    Examples
    --------
    >>> reserve_ah(120)
    50.0
    """
    return RESERVE_A * minutes / 60


def alternator_for(drawn_a: float, share: float) -> float:
    """Rating of the alternator that just gives what is drawn.

    Parameters
    ----------
    drawn_a : float
        What the loads draw on average [A].
    share : float
        Share of its rating that it gives there, above 0 [-].

    Returns
    -------
    float
        Rating [A].

    Examples
    --------
    >>> alternator_for(35, 0.5)
    70.0
    """
    return drawn_a / share


def start_takes_ah(cranking_a: float, seconds: float) -> float:
    """Charge that one go of the starter takes.

    Parameters
    ----------
    cranking_a, seconds : float
        Current with all else that is on meanwhile, and how long [A, s].

    Returns
    -------
    float
        Charge [Ah].

    Examples
    --------
    >>> start_takes_ah(180, 10)
    0.5
    """
    return cranking_a * seconds / 3600


def watts_to_amperes(watts: float, volts: float) -> float:
    """Current of a load that is sold by its power.

    Parameters
    ----------
    watts, volts : float
        Power, and the voltage at which it holds [W, V].

    Returns
    -------
    float
        Current [A].

    Raises
    ------
    LoomInputError
        If the voltage is not above 0.

    Examples
    --------
    >>> round(watts_to_amperes(500, 13.8), 1)
    36.2
    """
    if not volts > 0:
        raise LoomInputError("volts", f"Voltage: must be more than 0 V, not {volts:g} V.")
    return watts / volts


def _check(plant: Plant) -> None:
    for fault in (
        number_fault("Alternator", "alternator_a", "the rating", plant.alternator_a, "A", 500, zero=True),
        number_fault("Battery", "battery_ah", "the capacity", plant.battery_ah, "Ah", 1000),
        number_fault("Battery", "usable_share", "the usable share", plant.usable_share, "", 1),
        number_fault("Parked drain", "drain_a", "the current", plant.drain_a, "A", 50, zero=True),
    ):
        if fault is not None:
            raise LoomInputError(fault.field, fault.message)


def _check_situation(situation: Situation, names: set[str]) -> None:
    shares = {**situation.on, "the alternator": situation.alternator_share}
    for name, share in shares.items():
        if name not in names and name != "the alternator":
            raise LoomInputError("on", f"{situation.name}: the list has no component “{name}”.")
        if not 0 <= share <= 1:
            raise LoomInputError(
                "on", f"{situation.name}: the share of {name} must be 0 to 1, not {share:g}."
            )

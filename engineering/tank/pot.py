"""A pot or collector round the pickup: the pool it keeps, how long it feeds the pump, how it fills again."""

import math
from dataclasses import dataclass

import numpy as np

from engineering.tank.attitude import (
    AT_REST,
    LEVEL,
    STANDARD_GRAVITY,
    Attitude,
    Pull,
    apparent_gravity_g,
    apparent_up,
)
from engineering.tank.bodies import Block, Place
from engineering.tank.cutting import Floats
from engineering.tank.drum import Drum
from engineering.tank.errors import TankInputError
from engineering.tank.hollow import Hollow
from engineering.tank.orifice import Hole, orifice_l_s
from engineering.tank.solid import Solid

_STEPS = 2000
_COARSE_STEPS = 200
_FINE_FEW = 4
_TABLE = 401


@dataclass(frozen=True)
class Pot:
    """A pot as it stands in the tank.

    Parameters
    ----------
    body : Block or Drum
        Its inside, open over the whole top [mm].
    pickup_mm : tuple of float
        Mouth of the pickup in it [mm].
    holes : tuple of Hole
        Through which it fills from the tank.
    """

    body: Block | Drum
    pickup_mm: Place
    holes: tuple[Hole, ...] = ()

    def check(self) -> None:
        """Refuse holes and a pickup that do not fit the pot.

        Raises
        ------
        TankInputError
            Of 'pot_pickup_mm', 'pot_holes' or a size of the pot.
        """
        self.body.check()
        solid = self.body.solid()
        upright = solid.upright_mm(self.pickup_mm[0], self.pickup_mm[1])
        if upright is None or not upright[0] - 1e-6 <= self.pickup_mm[2] < upright[1]:
            raise TankInputError(
                "pot_pickup_mm",
                "Pickup: its mouth is outside the pot, which reaches from "
                f"{_triple(solid.low_mm)} to {_triple(solid.high_mm)} mm. Move it.",
            )
        for number, hole in enumerate(self.holes, start=1):
            self._check_hole(number, hole, solid)

    def _check_hole(self, number: int, hole: Hole, solid: Solid) -> None:
        words = f"Hole {number} of the pot"
        if not math.isfinite(hole.diameter_mm) or hole.diameter_mm <= 0:
            raise TankInputError(
                "pot_holes", f"{words}: must be more than 0 mm, not {hole.diameter_mm:g} mm."
            )
        if not 0 < hole.coefficient <= 1:
            raise TankInputError(
                "pot_holes", f"{words}: a coefficient of {hole.coefficient:g} is outside more than 0 to 1."
            )
        high, wide = float((solid.high_mm - solid.low_mm)[2]), float((solid.high_mm - solid.low_mm)[:2].max())
        if hole.diameter_mm > min(high, wide):
            raise TankInputError(
                "pot_holes",
                f"{words}: {hole.diameter_mm:g} mm is larger than its wall, {wide:.4g} mm wide and "
                f"{high:.4g} mm high. Make it smaller.",
            )
        at = np.asarray(hole.at_mm)
        if np.any(at < solid.low_mm - 5) or np.any(at > solid.high_mm + 5):
            raise TankInputError("pot_holes", f"{words}: it is not in the wall of the pot. Move it.")


@dataclass(frozen=True)
class PotPool:
    """The pool that a pot keeps when the rest of the tank has left it.

    Parameters
    ----------
    kept_l : float
        Below the plane through the lowest point of its lip [L].
    above_pickup_l : float
        Of that, above the plane through the pickup: what the pump can have [L].
    """

    kept_l: float
    above_pickup_l: float


def pot_pool(pot: Pot, pull: Pull = AT_REST, attitude: Attitude = LEVEL) -> PotPool:
    """What a pot keeps to itself, full to its lip, when the tank's surface lies below that.

    Parameters
    ----------
    pot : Pot
        The pot.
    pull : Pull
        Steady acceleration of the car.
    attitude : Attitude
        How it stands.

    Returns
    -------
    PotPool

    Raises
    ------
    TankInputError
        If the pickup or a hole is outside the pot.

    Examples
    --------
    At 0.3 g along the car a pot of 150 × 150 × 60 mm loses what stands above the lowest edge of its lip:

    >>> pot = Pot(Block(150, 150, 60, (60, 125, -60)), (135, 200, -50))
    >>> pot_pool(pot, Pull(forwards_g=0.3)).kept_l
    0.84375
    """
    pot.check()
    up = apparent_up(attitude, pull)
    solid = pot.body.solid()
    levels = np.array([_lip_level(solid, up), float(np.asarray(pot.pickup_mm) @ up)])
    kept_l, below_l = (float(litres) for litres in solid.litres_below(up, levels))
    return PotPool(kept_l, max(kept_l - below_l, 0.0))


def reserve_seconds(litres: float, pump_l_h: float, return_l_h: float = 0.0) -> float:
    """How long a pool feeds the pump with nothing coming in.

    Parameters
    ----------
    litres : float
        What the pump can have [L].
    pump_l_h, return_l_h : float
        Flow of the pump, and what comes back into the pot [L/h].

    Returns
    -------
    float
        Time; infinite where as much comes back as is drawn [s].

    Raises
    ------
    TankInputError
        Of 'pump_l_h' or 'return_l_h', if a flow is not a number, negative, or more returns than is pumped.

    Examples
    --------
    Two litres at 60.9 L/h (100 lb/h of petrol at 745 kg/m³):

    >>> round(reserve_seconds(2.0, 60.885), 1)
    118.3
    """
    _check_flows(pump_l_h, return_l_h)
    net_l_s = (pump_l_h - return_l_h) / 3600
    return litres / net_l_s if net_l_s > 0 else math.inf


@dataclass(frozen=True)
class Bend:
    """Whether a pot holds through a bend.

    Parameters
    ----------
    holds : bool
        Whether the pickup stays covered for the whole bend.
    covered_s : float
        How long it stays covered: the whole bend, or until it comes dry [s].
    at_start_l, at_end_l, least_l : float
        In the pot, of which the pickup can have only what stands above it [L].
    below_pickup_l : float
        In the pot when the pickup comes dry [L].
    refilled_l, leaked_l : float
        Through its holes, in and out [L].
    """

    holds: bool
    covered_s: float
    at_start_l: float
    at_end_l: float
    least_l: float
    below_pickup_l: float
    refilled_l: float
    leaked_l: float


def through_bend(
    inside: Hollow,
    pot: Pot,
    tank_l: float,
    pull: Pull,
    seconds: float,
    pump_l_h: float,
    return_l_h: float = 0.0,
    attitude: Attitude = LEVEL,
    steps: int = _STEPS,
) -> Bend:
    """Follow the liquid in a pot through a steady bend.

    Parameters
    ----------
    inside : Hollow
        The inside of the tank, pot and all.
    pot : Pot
        The pot.
    tank_l : float
        What the tank holds in all [L].
    pull : Pull
        Steady acceleration of the car, from the start of the bend.
    seconds : float
        How long the bend lasts [s].
    pump_l_h, return_l_h : float
        Flow of the pump, and what comes back into the pot [L/h].
    attitude : Attitude
        How the car stands.
    steps : int
        In how many steps the bend is followed.

    Returns
    -------
    Bend

    Raises
    ------
    TankInputError
        Names the field that cannot be meant.

    Notes
    -----
    The pot starts full to its lip, or with all there is if that is less. While one surface through the tank
    covers the lip, the pot is fed over it. Otherwise pot and tank have a surface each, and between them flows
    Q = C·A·√(2 g h) through every hole, with g what the liquid feels and h the difference of both surfaces
    above the hole, a dry side counting as level with the hole [1]_. What the pot cannot take runs back over
    its lip.

    References
    ----------
    .. [1] Torricelli's law with a discharge coefficient; any hydraulics textbook.
    """
    pot.check()
    _check_flows(pump_l_h, return_l_h)
    if not math.isfinite(seconds) or not 0 < seconds <= 600:
        raise TankInputError("bend_s", f"Bend: must last more than 0 and at most 600 s, not {seconds:g} s.")
    if not 0 <= tank_l <= inside.full_l:
        raise TankInputError(
            "tank_l", f"In the tank: {tank_l:g} L is outside 0 to the {inside.full_l:.4g} L that it holds."
        )
    state = _Surfaces.of(inside, pot, pull, attitude)
    return _follow(state, tank_l, seconds, (pump_l_h - return_l_h) / 3600, steps)


def worst_bend(
    inside: Hollow,
    pot: Pot,
    tank_l: float,
    g: float,
    seconds: float,
    pump_l_h: float,
    return_l_h: float = 0.0,
    attitude: Attitude = LEVEL,
    directions: int = 72,
) -> tuple[float, Bend]:
    """The bend, of all directions of one acceleration, in which a pot does worst.

    Parameters
    ----------
    inside, pot, tank_l : Hollow, Pot, float
        As `through_bend`.
    g : float
        Size of the acceleration [g].
    seconds, pump_l_h, return_l_h : float
        As `through_bend`.
    attitude : Attitude
        How the car stands.
    directions : int
        How many, evenly round.

    Returns
    -------
    tuple of float and Bend
        Direction of the acceleration, as in `Uncovering` [°], and what happens in it.

    Raises
    ------
    TankInputError
        As `through_bend`.

    Notes
    -----
    All directions are followed in coarse steps, the worst few again in fine ones.
    """

    def bend(direction_deg: float, steps: int) -> Bend:
        turn = math.radians(direction_deg)
        pull = Pull(g * math.cos(turn), g * math.sin(turn))
        return through_bend(inside, pot, tank_l, pull, seconds, pump_l_h, return_l_h, attitude, steps)

    def badness(found: tuple[float, Bend]) -> tuple[float, float]:
        return found[1].covered_s, found[1].least_l

    round_deg = [360 * number / directions for number in range(directions)]
    coarse = sorted(((deg, bend(deg, _COARSE_STEPS)) for deg in round_deg), key=badness)
    return min(((deg, bend(deg, _STEPS)) for deg, _ in coarse[:_FINE_FEW]), key=badness)


@dataclass(frozen=True)
class _Surfaces:
    """Heights of the surfaces in pot and tank against what each holds, under one pull."""

    pot: Pot
    gravity: float
    pot_levels: Floats
    pot_litres: Floats
    tank_levels: Floats
    tank_litres: Floats  # outside the pot
    hole_levels: Floats
    pickup_l: float
    lip_l: float  # in tank and pot together when one surface stands at the lip

    @classmethod
    def of(cls, inside: Hollow, pot: Pot, pull: Pull, attitude: Attitude) -> "_Surfaces":
        felt_g, up = apparent_gravity_g(attitude, pull)
        solid = pot.body.solid()
        lip = _lip_level(solid, up)
        pot_levels = np.linspace(solid.span_mm(up)[0], lip, _TABLE)
        tank_levels = np.linspace(*inside.span_mm(up), _TABLE)
        outside_pot = inside.litres_below(up, tank_levels) - solid.litres_below(up, tank_levels)
        at_pickup = np.array([float(np.asarray(pot.pickup_mm) @ up)])
        return cls(
            pot=pot,
            gravity=felt_g * STANDARD_GRAVITY,
            pot_levels=pot_levels,
            pot_litres=np.maximum.accumulate(solid.litres_below(up, pot_levels)),
            tank_levels=tank_levels,
            tank_litres=np.maximum.accumulate(outside_pot),
            hole_levels=np.array([float(np.asarray(hole.at_mm) @ up) for hole in pot.holes]),
            pickup_l=float(solid.litres_below(up, at_pickup)[0]),
            lip_l=float(inside.litres_below(up, np.array([lip]))[0]),
        )

    def through_holes_l_s(self, pot_l: float, tank_l: float) -> tuple[float, float]:
        """Into the pot, and out of it [L/s]."""
        inner = float(np.interp(pot_l, self.pot_litres, self.pot_levels))
        outer = float(np.interp(tank_l, self.tank_litres, self.tank_levels))
        into, out = 0.0, 0.0
        for hole, at in zip(self.pot.holes, self.hole_levels, strict=True):
            head = max(outer - at, 0.0) - max(inner - at, 0.0)
            flow = orifice_l_s(hole, abs(head), self.gravity)
            if head > 0:
                into += flow
            elif not hole.has_flap:
                out += flow
        return into, out


def _lip_level(solid: Solid, up: Floats) -> float:
    """Height along `up` at which the open top first spills."""
    lip = solid.points_mm[solid.points_mm[:, 2] >= solid.high_mm[2] - 1e-6]
    return float((lip @ up).min())


def _follow(state: _Surfaces, held_l: float, seconds: float, net_l_s: float, steps: int) -> Bend:
    full_l = float(state.pot_litres[-1])
    start_l = pot_l = min(full_l, held_l)
    tank_l = held_l - pot_l
    refilled, leaked, least_l = 0.0, 0.0, pot_l
    dry_l = state.pickup_l + 1e-9  # a pickup on the very floor comes dry when nothing is left
    covered_s = 0.0 if pot_l < dry_l else math.inf
    step = seconds / steps
    for number in range(steps):
        if tank_l + pot_l >= state.lip_l:  # one surface over both: fed over the lip
            pot_l, tank_l = full_l, tank_l + pot_l - full_l - net_l_s * step
            continue
        into, out = state.through_holes_l_s(pot_l, tank_l)
        # again half a step on: second order, and steady where both surfaces meet
        half = (into - out) * step / 2
        into, out = state.through_holes_l_s(pot_l + half - net_l_s * step / 2, tank_l - half)
        moved = (into - out) * step
        before, pot_l, tank_l = pot_l, pot_l + moved - net_l_s * step, max(tank_l - moved, 0.0)
        over = max(pot_l - full_l, 0.0)
        pot_l, tank_l = max(pot_l - over, 0.0), tank_l + over
        refilled, leaked, least_l = refilled + into * step, leaked + out * step, min(least_l, pot_l)
        if pot_l < dry_l <= before and covered_s == math.inf:
            covered_s = (number + (before - dry_l) / (before - pot_l)) * step
    return Bend(
        holds=covered_s >= seconds,
        covered_s=min(covered_s, seconds),
        at_start_l=start_l,
        at_end_l=pot_l,
        least_l=least_l,
        below_pickup_l=state.pickup_l,
        refilled_l=refilled,
        leaked_l=leaked,
    )


def _check_flows(pump_l_h: float, return_l_h: float) -> None:
    for field, words, value in (("pump_l_h", "Pump", pump_l_h), ("return_l_h", "Return", return_l_h)):
        if not math.isfinite(value) or not 0 <= value <= 5000:
            raise TankInputError(field, f"{words}: must be 0 to 5000 L/h, not {value:g} L/h.")
    if return_l_h > pump_l_h:
        raise TankInputError(
            "return_l_h", f"Return: {return_l_h:g} L/h is more than the {pump_l_h:g} L/h of the pump."
        )


def _triple(place: Floats) -> str:
    return " / ".join(f"{value:.4g}" for value in place)

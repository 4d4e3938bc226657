"""A tank put together: a main body, what is joined to it, and what is cut from it.

Dimensions are taken outside or inside the sheet. What is joined grows by the sheet towards the outside,
what is cut away shrinks; the metal is what lies between both skins.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from engineering.tank.bodies import Body, Dimension
from engineering.tank.drum import Drum
from engineering.tank.drum_cavity import DrumCavity
from engineering.tank.errors import TankError, TankInputError
from engineering.tank.hollow import Hollow
from engineering.tank.inputs import LARGEST_L, THICKEST_MM, THINNEST_MM, Measured, check_positive_mm
from engineering.tank.moulded import sharp_edges_mm
from engineering.tank.opening import bridges, carried_on, inner_faces, outer_faces
from engineering.tank.part import Act, Part
from engineering.tank.prism import Prism
from engineering.tank.solid import Solid, cut, joined, pieces_of, shared

_STEPS = 60
_CLOSE_L = 1e-7


@dataclass(frozen=True)
class TankBuild:
    """A tank as it is put together.

    Parameters
    ----------
    main : Body
        Its main body [mm].
    measured : Measured
        Whether all dimensions are of the outside or the inside of the sheet.
    thickness_mm : float
        Sheet thickness [mm].
    parts : tuple of Part
        In any order; cuts come after joins.

    Examples
    --------
    >>> from engineering.tank.bodies import Block
    >>> from engineering.tank.fittings import recessed_pot
    >>> tank = TankBuild(Block(600, 400, 200), Measured.INSIDE, 2.0)
    >>> pot = recessed_pot(tank, Block(150, 150, 60, (60, 125, -60)))
    >>> with_pot = tank.having(pot)
    >>> with_pot.inside.full_l, with_pot.metal_l
    (49.35, 1.852224)
    """

    main: Body
    measured: Measured
    thickness_mm: float
    parts: tuple[Part, ...] = ()

    def having(self, *parts: Part) -> "TankBuild":
        """The same tank with more parts.

        Parameters
        ----------
        *parts : Part
            What is added.

        Returns
        -------
        TankBuild
        """
        return replace(self, parts=(*self.parts, *parts))

    @cached_property
    def inside(self) -> Hollow:
        """What liquid can fill: exact where the tank is one round body, else a mesh."""
        main = self.main.grown(self._inwards_mm)
        if isinstance(main, Drum) and not self.parts:
            return DrumCavity(main)
        return self._skin(self._inwards_mm)

    @property
    def _inwards_mm(self) -> float:
        """How far the inner skin lies outside the dimensions."""
        return 0.0 if self.measured is Measured.INSIDE else -self.thickness_mm

    @cached_property
    def inside_solid(self) -> Solid:
        """The inside as a mesh."""
        inside = self.inside
        return inside.solid if isinstance(inside, DrumCavity) else _as_solid(inside)

    @cached_property
    def outside_solid(self) -> Solid:
        """The outer skin, without what stands inside."""
        outwards = self.thickness_mm if self.measured is Measured.INSIDE else 0.0
        return self._skin(outwards, with_inside=False)

    @property
    def metal_l(self) -> float:
        """Volume of all sheet: between both skins, and standing inside [L]."""
        return self.outside_solid.full_l - self.inside_solid.full_l

    @cached_property
    def as_measured(self) -> Solid:
        """The main body and all that is joined to it, as measured."""
        joins = [part.body.solid() for part in self._all(Act.JOIN)]
        return joined([self.main.solid(), *joins]) if joins else self.main.solid()

    def _all(self, act: Act) -> list[Part]:
        return [part for part in self.parts if part.act is act]

    def _skin(self, by_mm: float, with_inside: bool = True) -> Solid:
        main = self.main.grown(by_mm).solid()
        joins = [solid for part in self._all(Act.JOIN) for solid in self._joined_to(part, main, by_mm)]
        whole = joined([main, *joins]) if joins else main
        cuts = [self._tool(part, by_mm) for part in self._all(Act.CUT)]
        if with_inside:
            cuts += [part.body.solid() for part in self._all(Act.INSIDE)]
        return cut(whole, cuts)

    def _joined_to(self, part: Part, main: Solid, by_mm: float) -> list[Solid]:
        """A joined body in this skin, and what opens it to the tank where only sheet stands between."""
        body = _grown(part, by_mm)
        if not isinstance(body, Prism) or by_mm >= 0:
            return [body.solid()]
        others = [other.body.grown(by_mm).solid() for other in self._all(Act.JOIN) if other is not part]
        target = joined([main, *others]) if others else main
        rest = replace(self, parts=tuple(one for one in self._all(Act.JOIN) if one is not part))
        measured = part.body
        touching = inner_faces(measured, rest.as_measured) if isinstance(measured, Prism) else []
        return [body.solid(), *bridges(body, touching, target, -2 * by_mm)]

    def _tool(self, part: Part, by_mm: float) -> Solid:
        """What a cut takes from this skin, carried on through every wall that it opens."""
        body, measured = _grown(part, -by_mm), part.body
        if not isinstance(body, Prism) or not isinstance(measured, Prism):
            return body.solid()
        beyond = 6 * self.thickness_mm + 1.0
        return carried_on(body, outer_faces(measured, self.as_measured), beyond)

    @property
    def _middle_mm(self) -> float:
        return self.thickness_mm / 2 * (1 if self.measured is Measured.INSIDE else -1)

    @cached_property
    def _fitted_mm(self) -> tuple[float, float]:
        """What joins and cuts add to the skin at mid-thickness [mm^2], and to its sharp edges [mm]."""
        if all(part.act is Act.INSIDE for part in self.parts):
            return 0.0, 0.0
        bare, whole = self.main.grown(self._middle_mm).solid(), self._skin(self._middle_mm, with_inside=False)
        return whole.skin_mm2 - bare.skin_mm2, sharp_edges_mm(whole) - sharp_edges_mm(bare)

    @property
    def sheet_m2(self) -> float:
        """Area of sheet at mid-thickness, without flanges, overlaps and waste [m^2]."""
        main = self.main.grown(self._middle_mm).sheet_mm2()
        return (main + self._fitted_mm[0] + sum(p.area_mm2 for p in self.parts)) / 1e6

    @property
    def weld_m(self) -> float:
        """Length of seams; what is folded needs none [m]."""
        return (self.main.weld_mm() + self._fitted_mm[1] + sum(p.weld_mm for p in self.parts)) / 1000

    def check(self) -> None:
        """Refuse a tank that cannot be made.

        Raises
        ------
        TankInputError
            Names the field: a size, the sheet thickness, the place of a part.
        """
        check_positive_mm("thickness_mm", "Sheet thickness", self.thickness_mm)
        if self.thickness_mm < THINNEST_MM:
            raise TankInputError(
                "thickness_mm",
                f"Sheet thickness: {self.thickness_mm:g} mm is foil, not sheet; give {THINNEST_MM:g} mm or "
                "more.",
            )
        if self.thickness_mm > THICKEST_MM:
            raise TankInputError(
                "thickness_mm",
                f"Sheet thickness: {self.thickness_mm:g} mm is plate, not sheet; give {THICKEST_MM:g} mm or "
                "less.",
            )
        self.main.check()
        for part in self.parts:
            _check_body(part)
            self._check_touch(part)
        try:
            inside = self.inside
        except TankInputError:
            raise
        except TankError as error:
            raise TankInputError(self.parts[-1].field if self.parts else "shape", str(error)) from error
        if inside.full_l > LARGEST_L:
            raise TankInputError(
                "length_mm",
                f"Length: these dimensions make {inside.full_l:.0f} L, and this sheet is meant for the "
                f"tanks of a car, up to {LARGEST_L:g} L. Check each dimension: they are in millimetres.",
            )
        if self.parts and len(pieces_of(self._skin(self._inwards_mm, with_inside=False))) > 1:
            raise TankInputError(
                self.parts[-1].field,
                "The inside falls into separate rooms that no liquid can pass between. Move the recess, or "
                "make it less deep.",
            )

    def _check_touch(self, part: Part) -> None:
        body = part.body.solid()
        if part.act is not Act.JOIN:
            if shared(self.as_measured, body) <= _CLOSE_L:
                raise TankInputError(part.field, f"{part.name}: it does not touch the tank; move it.")
            if part.act is Act.CUT and self._is_shut_in(part, body):
                raise TankInputError(
                    part.field,
                    f"{part.name}: it lies wholly inside the tank and opens through no wall; move it to one.",
                )
            return
        rest = replace(self, parts=tuple(one for one in self._all(Act.JOIN) if one is not part))
        around = rest.as_measured
        near = np.all((body.low_mm <= around.high_mm + 1e-6) & (body.high_mm >= around.low_mm - 1e-6))
        if not near:
            raise TankInputError(part.field, f"{part.name}: it does not touch the tank; move it.")

    def _is_shut_in(self, part: Part, body: Solid) -> bool:
        measured = part.body
        if not isinstance(measured, Prism) or outer_faces(measured, self.as_measured):
            return False
        return shared(self.as_measured, body) >= body.full_l - _CLOSE_L


def stretched_to(
    tank: TankBuild,
    dimension: Dimension,
    wanted_l: float,
    capacity: Callable[[TankBuild], float] = lambda tank: tank.inside.full_l,
    words: str = "",
) -> TankBuild:
    """The same tank with one dimension of its main body changed until it holds what is wanted.

    Parameters
    ----------
    tank : TankBuild
        The tank as drawn; its parts stay where they are.
    dimension : Dimension
        What may change: length, width or height.
    wanted_l : float
        Capacity to reach [L].
    capacity : callable
        What counts as capacity, given a tank; the whole inside where nothing is said [L].
    words : str
        What people call the dimension; its own name where nothing is said.

    Returns
    -------
    TankBuild

    Raises
    ------
    TankInputError
        Of 'wanted_l', if no stretch from a twentieth to twenty times reaches it.

    Examples
    --------
    >>> from engineering.tank.bodies import Block
    >>> longer = stretched_to(TankBuild(Block(600, 400, 200), Measured.INSIDE, 2.0), Dimension.LENGTH, 60)
    >>> round(longer.main.length_mm, 6)
    750.0
    """
    if not math.isfinite(wanted_l) or not 0 < wanted_l <= LARGEST_L:
        raise TankInputError(
            "wanted_l",
            f"Wanted capacity: must be more than 0 and at most {LARGEST_L:g} L, not {wanted_l:g} L.",
        )

    def at(factor: float) -> tuple[TankBuild, float]:
        stretched = replace(tank, main=tank.main.stretched(dimension, factor))
        return stretched, capacity(stretched)

    def short_of(factor: float) -> float:
        try:
            return at(factor)[1] - wanted_l
        except TankError:  # so small that the sheet leaves nothing
            return -wanted_l

    low, high = 0.05, 20.0
    below, above = short_of(low), short_of(high)
    if below > 0 or above < 0:
        words = words or f"the {dimension.value.removesuffix('_mm')}"
        raise TankInputError(
            "wanted_l",
            f"Wanted capacity: {wanted_l:g} L is not reached by changing {words} alone; change another "
            "dimension first.",
        )
    # the straight line between both ends, halved where one end stays twice: quick, and sure like halving
    kept = 0
    for _ in range(_STEPS):
        middle = high - above * (high - low) / (above - below) if above > below else high
        missing = short_of(middle)
        if abs(missing) < _CLOSE_L:
            return at(middle)[0]
        if missing < 0:
            low, below = middle, missing
            above, kept = (above / 2 if kept < 0 else above), -1
        else:
            high, above = middle, missing
            below, kept = (below / 2 if kept > 0 else below), 1
    return at(high)[0]


def _as_solid(inside: Hollow) -> Solid:
    if not isinstance(inside, Solid):
        raise TypeError("the inside of a put-together tank is a mesh")
    return inside


def _check_body(part: Part) -> None:
    try:
        part.body.check()
    except TankInputError as error:
        raise TankInputError(part.field, f"{part.name}: {error.message}") from error


def _grown(part: Part, by_mm: float) -> Body:
    """The body with the sheet round it, or taken off it."""
    try:
        return part.body.grown(by_mm)
    except TankInputError as error:
        raise TankInputError(
            part.field, f"{part.name}: it is no wider than its own sheet; make it larger."
        ) from error

"""Ready-made side profiles: wedge, L and step."""

import math

from engineering.tank.errors import TankInputError
from engineering.tank.profile import LONGEST_MM, SideProfile


def wedge_profile(floor_mm: float, roof_mm: float, height_mm: float) -> SideProfile:
    """A wedge with an upright rear face.

    Parameters
    ----------
    floor_mm, roof_mm, height_mm : float
        Length of floor and roof, and height [mm]; the front slopes between their ends.

    Returns
    -------
    SideProfile

    Raises
    ------
    TankInputError
        Of the field whose size is not greater than 0.

    Examples
    --------
    >>> wedge_profile(420, 260, 240).area_mm2
    81600.0
    """
    _check_sizes(floor_mm=floor_mm, roof_mm=roof_mm, height_mm=height_mm)
    return SideProfile.through([(0, 0), (floor_mm, 0), (roof_mm, height_mm), (0, height_mm)])


def l_profile(length_mm: float, height_mm: float, foot_mm: float, leg_mm: float) -> SideProfile:
    """An L: a foot along the floor and a leg at its rear.

    Parameters
    ----------
    length_mm, height_mm : float
        Over all [mm].
    foot_mm, leg_mm : float
        Height of the foot, and length of the leg [mm].

    Returns
    -------
    SideProfile

    Raises
    ------
    TankInputError
        Of the field whose size is not greater than 0, or larger than the whole.

    Examples
    --------
    >>> l_profile(600, 300, 120, 250).area_mm2
    117000.0
    """
    _check_sizes(length_mm=length_mm, height_mm=height_mm, foot_mm=foot_mm, leg_mm=leg_mm)
    _check_less("foot_mm", foot_mm, "height_mm", height_mm)
    _check_less("leg_mm", leg_mm, "length_mm", length_mm)
    return SideProfile.through(
        [(0, 0), (length_mm, 0), (length_mm, foot_mm), (leg_mm, foot_mm), (leg_mm, height_mm), (0, height_mm)]
    )


def step_profile(length_mm: float, height_mm: float, step_x_mm: float, step_z_mm: float) -> SideProfile:
    """A step in the floor, as over an axle: the rear part stands higher than the front.

    Parameters
    ----------
    length_mm, height_mm : float
        Over all [mm].
    step_x_mm, step_z_mm : float
        Where the step stands, from the rear, and how high it is [mm].

    Returns
    -------
    SideProfile

    Raises
    ------
    TankInputError
        Of the field whose size is not greater than 0, or larger than the whole.

    Examples
    --------
    >>> step_profile(600, 300, 200, 100).area_mm2
    160000.0
    """
    _check_sizes(length_mm=length_mm, height_mm=height_mm, step_x_mm=step_x_mm, step_z_mm=step_z_mm)
    _check_less("step_z_mm", step_z_mm, "height_mm", height_mm)
    _check_less("step_x_mm", step_x_mm, "length_mm", length_mm)
    return SideProfile.through(
        [(0, step_z_mm), (step_x_mm, step_z_mm), (step_x_mm, 0), (length_mm, 0), (length_mm, height_mm),
         (0, height_mm)]
    )  # fmt: skip


def _check_sizes(**sizes_mm: float) -> None:
    for field, size in sizes_mm.items():
        if not math.isfinite(size) or not 0 < size <= LONGEST_MM:
            words = field.removesuffix("_mm").replace("_", " ").capitalize()
            raise TankInputError(
                field, f"{words}: must be more than 0 and at most {LONGEST_MM:g} mm, not {size:g} mm."
            )


def _check_less(field: str, size_mm: float, whole: str, whole_mm: float) -> None:
    if size_mm >= whole_mm:
        words, of = (name.removesuffix("_mm").replace("_", " ") for name in (field, whole))
        raise TankInputError(
            field, f"{words.capitalize()}: {size_mm:g} mm must be less than the {of} of {whole_mm:g} mm."
        )

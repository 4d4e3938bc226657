"""Bodies joined to a tank or cut from it at any place, without a use that the tank knows of."""

from engineering.tank.part import Act, Part
from engineering.tank.prism import Prism
from engineering.tank.profile import SideProfile


def joined_body(body: Prism, field: str, name: str) -> Part:
    """A body that the tank is made larger by; where it only touches, it opens through the sheet.

    Parameters
    ----------
    body : Prism
        Its shape and place, measured as the tank [mm].
    field, name : str
        Name of the input, and what people call it.

    Returns
    -------
    Part
    """
    return Part(name, body, Act.JOIN, field, 0.0, _seam_mm(body))


def cut_body(body: Prism, field: str, name: str) -> Part:
    """A recess, a tunnel or a notch: room that is taken from the tank, lined with sheet.

    Parameters
    ----------
    body : Prism
        The room, measured as the tank; it passes or reaches the walls that it opens through [mm].
    field, name : str
        Name of the input, and what people call it.

    Returns
    -------
    Part
    """
    return Part(name, body, Act.CUT, field, 0.0, _seam_mm(body))


def _seam_mm(body: Prism) -> float:
    """The seam of a rolled cylinder, which shows as no edge [mm]."""
    return 0.0 if isinstance(body.outline, SideProfile) else body.length_mm

"""What a tank is put together from besides its main body."""

from dataclasses import dataclass
from enum import StrEnum

from engineering.tank.bodies import Body


class Act(StrEnum):
    """What a part does to the tank."""

    JOIN = "join"
    CUT = "cut"
    INSIDE = "inside"


class Wall(StrEnum):
    """A side of the tank."""

    REAR = "rear"
    FRONT = "front"
    RIGHT = "right"
    LEFT = "left"
    BOTTOM = "bottom"
    TOP = "top"

    @property
    def axis(self) -> int:
        """0, 1 or 2 for the walls square to x, y or z."""
        return {"rear": 0, "front": 0, "right": 1, "left": 1, "bottom": 2, "top": 2}[self.value]

    @property
    def faces_up_axis(self) -> bool:
        """Whether it is the wall at the far end of its axis."""
        return self in (Wall.FRONT, Wall.LEFT, Wall.TOP)


@dataclass(frozen=True)
class Part:
    """Something joined to the tank, cut from it, or standing in it.

    Parameters
    ----------
    name : str
        For people.
    body : Body
        Its shape and place; for sheet that stands inside, the sheet itself [mm].
    act : Act
        Join, cut, or inside: sheet within the tank, whose metal takes room.
    field : str
        Name of the input that people typed it in.
    area_mm2, weld_mm : float
        Sheet and seams that the part adds [mm^2], [mm]: of sheet that stands inside, all of it; of what is
        joined or cut, what the skin of the tank does not show, less than 0 for an open mouth.
    """

    name: str
    body: Body
    act: Act
    field: str
    area_mm2: float
    weld_mm: float

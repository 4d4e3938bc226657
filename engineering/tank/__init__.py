"""Tanks of a car: what they hold, what can be used, what they weigh, and the dip chart. Knows no Django.

Plain tanks, in closed form: `size_tank` and `dip_chart`. Tanks of any shape are put together in a `TankBuild`
from bodies and fittings, and then sized, dipped on slopes, given a sender and tried in bends. Axes are x
forwards, y to the left, z up, in millimetres. Files are read by `mesh_file.read_mesh` and
`profile_file.read_profile`, which are not brought in here since their libraries load slowly.
"""

from engineering.tank.attitude import Attitude, Pull, apparent_up
from engineering.tank.bodies import Block, Dimension, Pushed
from engineering.tank.build import TankBuild, stretched_to
from engineering.tank.capacity import ExpansionRule, TankResult, size_tank
from engineering.tank.dip import DipRow, dip_chart
from engineering.tank.dipping import Stick, dip_chart_at, level_for_litres, stick_at
from engineering.tank.drum import Drum, Lie
from engineering.tank.ends import STANDARD_ENDS, End, EndShape
from engineering.tank.errors import TankError, TankInputError
from engineering.tank.fittings import baffle, collector_box, filler_neck, mounting_recess, recessed_pot
from engineering.tank.hollow import Hollow
from engineering.tank.inputs import Measured, TankInputs
from engineering.tank.liquids import (
    LIQUIDS,
    LinearExpansion,
    Liquid,
    PetroleumExpansion,
    WaterExpansion,
    own_liquid,
)
from engineering.tank.materials import FOAM_SOURCE, FOAMS, METALS, Foam, Metal
from engineering.tank.orifice import Hole
from engineering.tank.pot import Bend, Pot, PotPool, pot_pool, reserve_seconds, through_bend
from engineering.tank.profile import Corner, SideProfile
from engineering.tank.profiles import l_profile, step_profile, wedge_profile
from engineering.tank.sender import SENDER_RANGES, Sender, SenderRange, SenderTable, sender_table
from engineering.tank.shaped import ShapedInputs, ShapedResult, size_shaped
from engineering.tank.shapes import Box, Cavity, LyingCylinder, Shape, UprightCylinder, depth_for_litres
from engineering.tank.solid import Solid, stl_of
from engineering.tank.surge import SurgePolar, Uncovering, highest_g, litres_when_uncovered, surge_polar

__all__ = [
    "FOAMS",
    "FOAM_SOURCE",
    "LIQUIDS",
    "METALS",
    "SENDER_RANGES",
    "STANDARD_ENDS",
    "Attitude",
    "Bend",
    "Block",
    "Box",
    "Cavity",
    "Corner",
    "Dimension",
    "DipRow",
    "Drum",
    "End",
    "EndShape",
    "ExpansionRule",
    "Foam",
    "Hole",
    "Hollow",
    "Lie",
    "LinearExpansion",
    "Liquid",
    "LyingCylinder",
    "Measured",
    "Metal",
    "PetroleumExpansion",
    "Pot",
    "PotPool",
    "Pull",
    "Pushed",
    "Sender",
    "SenderRange",
    "SenderTable",
    "Shape",
    "ShapedInputs",
    "ShapedResult",
    "SideProfile",
    "Solid",
    "Stick",
    "SurgePolar",
    "TankBuild",
    "TankError",
    "TankInputError",
    "TankInputs",
    "TankResult",
    "Uncovering",
    "UprightCylinder",
    "WaterExpansion",
    "apparent_up",
    "baffle",
    "collector_box",
    "depth_for_litres",
    "dip_chart",
    "dip_chart_at",
    "filler_neck",
    "highest_g",
    "l_profile",
    "level_for_litres",
    "litres_when_uncovered",
    "mounting_recess",
    "own_liquid",
    "pot_pool",
    "recessed_pot",
    "reserve_seconds",
    "sender_table",
    "size_shaped",
    "size_tank",
    "step_profile",
    "stick_at",
    "stl_of",
    "stretched_to",
    "surge_polar",
    "through_bend",
    "wedge_profile",
]

"""Tanks of a car: what they hold, what can be used, what they weigh, and the dip chart. Knows no Django."""

from engineering.tank.capacity import ExpansionRule, TankResult, size_tank
from engineering.tank.dip import DipRow, dip_chart
from engineering.tank.errors import TankError, TankInputError
from engineering.tank.inputs import Measured, TankInputs
from engineering.tank.liquids import LIQUIDS, LinearExpansion, Liquid, PetroleumExpansion, WaterExpansion
from engineering.tank.materials import FOAM_SOURCE, FOAMS, METALS, Foam, Metal
from engineering.tank.shapes import Box, Cavity, LyingCylinder, Shape, UprightCylinder, depth_for_litres

__all__ = [
    "FOAMS",
    "FOAM_SOURCE",
    "LIQUIDS",
    "METALS",
    "Box",
    "Cavity",
    "DipRow",
    "ExpansionRule",
    "Foam",
    "LinearExpansion",
    "Liquid",
    "LyingCylinder",
    "Measured",
    "Metal",
    "PetroleumExpansion",
    "Shape",
    "TankError",
    "TankInputError",
    "TankInputs",
    "TankResult",
    "UprightCylinder",
    "WaterExpansion",
    "depth_for_litres",
    "dip_chart",
    "size_tank",
]

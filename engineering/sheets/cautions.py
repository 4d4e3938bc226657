"""Cautions that several kinds of sheet print, each with its authoritative source."""

HOT_WORK = (
    "Never weld, cut, grind or drill a tank that has held fuel or oil unless a competent firm has made it "
    "safe. An “empty” tank holds enough in its seams to kill; diesel and oil tanks explode too. Cold "
    "repair or a new tank first; permit to work. (HSE INDG314, Hot work on small tanks and drums)"
)
WELDER = (
    "Welding a tank is for a competent welder, qualified for the metal and the joint (ISO 9606-1 for steel, "
    "ISO 9606-2 for aluminium); whoever welds it decides on joint, filler and order of welding."
)
PRESSURE_TEST = (
    "Test for leaks with water. Never put workshop air straight on a tank: 0.3 bar on a panel of 600 × 400 "
    "mm pushes with 7.2 kN. If air must be used: regulator and relief valve at the test pressure, a clean "
    "tank that never held fuel, and nobody over a panel."
)
VAPOUR = (
    "Petrol vapour burns at about 1 to 8 % in air, is heavier than air and gathers in pits. No flame, no "
    "spark, good air, and never over a pit. (HSG146, Dispensing petrol)"
)
FUEL_RULES = (
    "Construction and Use Regulations 1986, regulation 39 (petrol tanks: metal, secure, tight); the IVA "
    "inspection manual, section 03A; UNECE Regulation 34"
)

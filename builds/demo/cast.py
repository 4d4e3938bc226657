"""The people, suppliers and customers of the demo. All invented; telephone numbers are fiction’s."""

from __future__ import annotations

from dataclasses import dataclass

MANAGER_PASSWORD = "salt-marsh-lantern"


@dataclass(frozen=True)
class DemoPerson:
    name: str
    role: str
    secret: str
    skills: tuple[str, ...] = ()


PEOPLE = (
    DemoPerson("Maud Ellery", "manager", MANAGER_PASSWORD),
    DemoPerson("Rafe Holloway", "fitter", "4821", ("fitter", "painter")),
    DemoPerson("Ines Brandt", "fitter", "7305", ("electrician",)),
    DemoPerson("Tomas Kell", "fitter", "1968", ("fabricator-welder", "fitter", "drawing and planning")),
    DemoPerson("Wren Abara", "fitter", "2750", ("engine builder", "fitter", "trimmer")),
)


@dataclass(frozen=True)
class DemoSupplier:
    name: str
    processes: tuple[str, ...]
    contact: str
    phone: str
    carriage_days: int = 0
    minimum_lot_charge: int | None = None
    largest_mm: tuple[int, int, int] | None = None
    works_friday: bool = True
    note: str = ""
    carriage_charge: int | None = None


SUPPLIERS = (
    DemoSupplier("Harrow Lane Fabrications", ("fabricate", "hose"), "Gus", "01632 960 101"),
    DemoSupplier("Ostler Radiators", ("fabricate",), "Petra", "01632 960 117", 1),
    DemoSupplier("Tidewater Machining", ("machine", "balance"), "Imre", "01632 960 122", 1),
    DemoSupplier("Cutwater Profiles", ("waterjet", "laser_cut", "engrave"), "Lowri", "01632 960 135"),
    DemoSupplier(
        "Ferrand Plating",
        ("zinc_plate", "passivate", "electropolish"),
        "Dilys",
        "01632 960 114",
        0,
        140,
        (1500, 600, 600),
        works_friday=False,
        note="Bath days Monday to Thursday. Hard fasteners apart.",
        carriage_charge=18,
    ),
    DemoSupplier(
        "Greywater Anodising",
        ("anodise_decorative", "anodise_hard"),
        "Mr Osei",
        "01632 960 146",
        1,
        180,
        (2000, 900, 500),
        note="Colour runs on Tuesdays. Send alloy list and sample.",
        carriage_charge=36,
    ),
    DemoSupplier(
        "Kiln Row Powder Coating",
        ("powder_coat", "blast"),
        "Hal",
        "01632 960 158",
        0,
        95,
        (3000, 1500, 1500),
        carriage_charge=14,
    ),
    DemoSupplier(
        "Sixpenny Chrome", ("nickel_chrome", "polish"), "Nan", "01632 960 163", 1, 220, carriage_charge=42
    ),
    DemoSupplier(
        "Emberline Coatings",
        ("ceramic_exhaust", "ceramic_thin_film"),
        "Joss",
        "01632 960 170",
        1,
        carriage_charge=48,
    ),
    DemoSupplier("Fenwright Carbon", ("carbon",), "Aoife", "01632 960 172", 1),
    DemoSupplier("Dunmow Gearbox and Axle", ("rebuild", "crack_test"), "Ted", "01632 960 174"),
    DemoSupplier("Larkspur Trim", ("trim",), "Bea", "01632 960 181"),
    DemoSupplier("Broadstrand Motor Factors", ("supply",), "the counter", "01632 960 190", 1),
    DemoSupplier("Longreach Connectors", ("supply",), "Sanne", "01632 960 193", 2),
    DemoSupplier("Pellow Paintworks", ("paint",), "Col", "01632 960 196"),
    DemoSupplier("Halyard Exhausts", ("fabricate",), "Rhys", "01632 960 199"),
    DemoSupplier("Plumbline Chassis Alignment", ("fabricate",), "Moira", "01632 960 205"),
)


@dataclass(frozen=True)
class DemoPrice:
    """What a finisher charges for a lot, in pounds."""

    supplier: str
    process: str
    minimum: str | None = None
    setup: str | None = None
    per_m2: str | None = None
    per_kg: str | None = None
    per_piece: str | None = None
    per_line: str | None = None
    most_kg: str | None = None
    most_m2: str | None = None


PRICES = (
    DemoPrice("Ferrand Plating", "zinc_plate", minimum="140", per_kg="2.60", per_line="6", most_kg="90"),
    DemoPrice("Ferrand Plating", "passivate", minimum="90", per_kg="3.10"),
    DemoPrice("Ferrand Plating", "electropolish", minimum="160", per_kg="9.50"),
    DemoPrice(
        "Greywater Anodising", "anodise_decorative", minimum="180", setup="35", per_m2="62", most_m2="14"
    ),
    DemoPrice("Greywater Anodising", "anodise_hard", minimum="260", setup="50", per_m2="118", most_m2="6"),
    DemoPrice("Kiln Row Powder Coating", "powder_coat", minimum="95", setup="20", per_m2="38"),
    DemoPrice("Sixpenny Chrome", "nickel_chrome", minimum="220", per_m2="640", per_line="15"),
    DemoPrice("Emberline Coatings", "ceramic_exhaust", minimum="190", per_piece="165", per_line="12"),
    DemoPrice("Emberline Coatings", "ceramic_thin_film", minimum="150", per_piece="95"),
)

# Who does what where several could, by the key of a part or a process in the template.
WHO_DOES_WHAT = {
    "radiator": "Ostler Radiators",
    "connectors": "Longreach Connectors",
    "boots": "Longreach Connectors",
    "instruments": "Longreach Connectors",
    "propshaft": "Dunmow Gearbox and Axle",
    "fabricate": "Harrow Lane Fabrications",
    "supply": "Broadstrand Motor Factors",
}

# Whom the car goes to, by the key of the away job.
WHO_HAS_THE_CAR = {
    "shell-paint": "Pellow Paintworks",
    "exh-out": "Halyard Exhausts",
    "exh-make": "Halyard Exhausts",
    "exh-back": "Halyard Exhausts",
}

CUSTOMERS = {
    "Tern": ("Mrs A. Quill", "01632 960 301"),
    "Skua": ("Dr P. Amara", "01632 960 302"),
    "Gannet": ("Mr J. Thorne", "01632 960 303"),
    "Petrel": ("Ms K. Vane", "01632 960 304"),
}

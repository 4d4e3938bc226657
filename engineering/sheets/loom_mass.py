"""What a loom weighs: its copper and insulation. Contacts, connectors, sleeves and tape are not listed."""

from dataclasses import dataclass

from engineering.loom.bench import wire_named
from engineering.loom.cutting import insulation_g
from engineering.sheets.kind import Results


@dataclass(frozen=True)
class LoomMass:
    """Masses of all wires at their cut lengths."""

    copper_kg: float
    insulation_kg: float

    @property
    def total_kg(self) -> float:
        return self.copper_kg + self.insulation_kg


def loom_mass(results: Results) -> LoomMass:
    """From the cut list as it was kept; a size that is no longer known counts with its copper alone."""
    copper_g = insulated_g = 0.0
    for row in results["cut"]:
        copper_g += row["copper_g"]
        wire = wire_named(row["size"])
        insulated_g += insulation_g(wire, row["cut_mm"] / 1000) if wire else 0.0
    return LoomMass(copper_g / 1000, insulated_g / 1000)

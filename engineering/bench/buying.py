"""Wire to buy for a loom, and what of it is on Orders already."""

import math
from dataclasses import dataclass
from typing import Any

from engineering.loom.bench import wire_named
from engineering.models import CalcSheet, WireBought

BY_THE_METRE_MM2 = 10.0
"""From this size on nobody buys a reel for one car: common practice, no source."""

REELS_M = (1, 25, 50, 100)
Key = tuple[str, str, str]


@dataclass(frozen=True)
class BuyLine:
    """Wire of one colour and size: what the loom needs, and what was put on Orders for it."""

    colour: str
    size: str
    insulation: str
    needed_m: float
    bought: tuple[WireBought, ...]

    @property
    def key(self) -> Key:
        return (self.colour, self.size, self.insulation)

    @property
    def bought_m(self) -> float:
        return sum(row.metres for row in self.bought)

    @property
    def more_m(self) -> float:
        """What is still short; a centimetre is not."""
        short = self.needed_m - self.bought_m
        return short if short > 0.01 else 0.0

    @property
    def is_by_the_metre(self) -> bool:
        wire = wire_named(self.size)
        return wire is not None and wire.area_mm2 >= BY_THE_METRE_MM2

    def piece_m(self, reel_m: float) -> float:
        return 1.0 if self.is_by_the_metre else reel_m

    def more_pieces(self, reel_m: float) -> int:
        """Whole reels, or whole metres of what is bought by the metre."""
        return math.ceil(self.more_m / self.piece_m(reel_m) - 1e-9)

    @property
    def words(self) -> str:
        return f"{self.size} {self.colour or 'without a colour'}"


def buy_lines(sheet: CalcSheet) -> list[BuyLine]:
    """What a revision needs, thickest first, with what is on Orders for that loom."""
    bought = bought_for(sheet)
    return [
        BuyLine(
            row["colour"],
            row["size"],
            row["insulation"],
            row["length_m"],
            tuple(one for one in bought if _key(one) == (row["colour"], row["size"], row["insulation"])),
        )
        for row in sheet.results["buy"]
    ]


def bought_for(sheet: CalcSheet) -> list[WireBought]:
    """Everything on Orders for a loom, whatever the revision."""
    rows = WireBought.objects.filter(job=sheet.job_id, title__iexact=sheet.title)
    return list(rows.select_related("part"))


def no_longer_needed(sheet: CalcSheet) -> list[WireBought]:
    """What was put on Orders for the loom and is in no line of this revision."""
    needed = {(row["colour"], row["size"], row["insulation"]) for row in sheet.results["buy"]}
    return [one for one in bought_for(sheet) if _key(one) not in needed]


def _key(one: WireBought) -> Key:
    return (one.colour, one.size, one.insulation)


def buying_context(sheet: CalcSheet) -> dict[str, Any]:
    """What the sheet says of the buying."""
    lines = buy_lines(sheet)
    return {
        "on_orders": sum(bool(line.bought) for line in lines),
        "wire_short": [line for line in lines if line.more_m],
        "wire_needless": no_longer_needed(sheet),
    }

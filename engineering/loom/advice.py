"""Where better insulation would do with a thinner wire."""

from dataclasses import dataclass, replace

from engineering.loom.circuit import Rule
from engineering.loom.faults import FaultKind
from engineering.loom.inputs import INSULATIONS
from engineering.loom.results import LoomResult
from engineering.loom.sizing import size_loom


@dataclass(frozen=True)
class Suggestion:
    """A wire that is thick, or has no size, because its place is hot.

    Parameters
    ----------
    label : str
        Of the wire.
    insulation : str
        Key of the class that would help.
    was, would_be : str
        Its size now, empty where it has none, and its size then.
    """

    label: str
    insulation: str
    was: str
    would_be: str

    def __str__(self) -> str:
        instead = f" instead of {self.was}" if self.was else ""
        return (
            f"Wire {self.label}: {INSULATIONS[self.insulation].name}, for all wires of its runs, would do "
            f"with {self.would_be}{instead}."
        )


def better_insulation(result: LoomResult, insulation: str = "c") -> tuple[Suggestion, ...]:
    """Wires that would be thinner in better insulation.

    Parameters
    ----------
    result : LoomResult
        The loom, worked out.
    insulation : str
        Key of the class to try.

    Returns
    -------
    tuple of Suggestion
        In the order of the list; only wires that heat governs, by what they carry or by what their fuse lets
        through, and those whose place is too hot for their class.
    """
    rated_c = INSULATIONS[insulation].rated_c
    too_hot = {fault.thing for fault in result.faults if fault.kind is FaultKind.HEAT}
    hot = too_hot | {
        label for label, wire in result.wires.items() if wire.rule in (Rule.PROTECTION, Rule.CAPACITY)
    }
    if not hot:
        return ()
    better = replace(
        result.loom,
        wires=tuple(
            replace(wire, insulation=insulation) if wire.insulated.rated_c < rated_c else wire
            for wire in result.loom.wires
        ),
    )
    then = size_loom(better, result)
    found = []
    for wire in result.loom.wires:
        label, sized = wire.label, then.wires.get(wire.label)
        was = result.wires.get(label)
        if label in hot and sized and (was is None or sized.size.area_mm2 < was.size.area_mm2):
            found.append(Suggestion(label, insulation, was.size.name if was else "", sized.size.name))
    return tuple(found)

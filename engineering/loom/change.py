"""What a change of the list changes on the bench."""

from dataclasses import dataclass

from engineering.loom.results import LoomResult

LEAST_MM = 0.5
"""A cut length that moves by less has not changed."""


@dataclass(frozen=True)
class Change:
    """One thing about one wire or device that is different.

    Parameters
    ----------
    thing : str
        Label of the wire, or name of the device.
    what : str
        "size", "colour", "insulation", "cut length", "route", "ends", "rating", "new", "gone" or "without a
        size".
    was, now : str
        Before and after, with unit; empty where it was or is not there.
    """

    thing: str
    what: str
    was: str
    now: str

    def __str__(self) -> str:
        return f"{self.thing}: {self.what} {self.was} → {self.now}" if self.was or self.now else self.thing


def changes(before: LoomResult, after: LoomResult) -> tuple[Change, ...]:
    """Everything that a fitter would have to cut, crimp, lay or fit differently.

    Parameters
    ----------
    before, after : LoomResult
        The loom before a change of its list and after it.

    Returns
    -------
    tuple of Change
        Wires in the order of the list, those that are gone after them, then devices. A wire that only runs
        warmer or loses more, and keeps its size and length, is not among them.
    """
    found: list[Change] = []
    listed_before = {wire.label for wire in before.loom.wires}
    listed_after = {wire.label for wire in after.loom.wires}
    for wire in after.loom.wires:
        if wire.label in listed_before:
            found.extend(_of_wire(wire.label, before, after))
        else:
            found.append(Change(wire.label, "new", "", _size(after, wire.label)))
    found.extend(
        Change(wire.label, "gone", _size(before, wire.label), "")
        for wire in before.loom.wires
        if wire.label not in listed_after
    )
    for name in {**before.devices, **after.devices}:
        was, now = before.devices.get(name), after.devices.get(name)
        if was != now:
            found.append(Change(name, "rating", str(was) if was else "", str(now) if now else ""))
    return tuple(found)


def _of_wire(label: str, before: LoomResult, after: LoomResult) -> list[Change]:
    found = []
    was, now = _size(before, label), _size(after, label)
    if was != now:
        found.append(Change(label, "size" if now else "without a size", was, now))
    old, new = before.routes.get(label), after.routes.get(label)
    old_runs, new_runs = (" ".join(route.runs) if route else "" for route in (old, new))
    if old_runs != new_runs:
        found.append(Change(label, "route", old_runs, new_runs))
    if old and new and abs(old.cut_mm - new.cut_mm) >= LEAST_MM:
        found.append(Change(label, "cut length", f"{old.cut_mm:.0f} mm", f"{new.cut_mm:.0f} mm"))
    if label in before.wires and label in after.wires:
        one, other = before.wires[label].wire, after.wires[label].wire
        if one.colour != other.colour:
            found.append(Change(label, "colour", one.colour, other.colour))
        if one.insulation != other.insulation:
            found.append(Change(label, "insulation", one.insulated.name, other.insulated.name))
        ends_were, ends_are = (f"{wire.start} to {wire.end}" for wire in (one, other))
        if ends_were != ends_are:
            found.append(Change(label, "ends", ends_were, ends_are))
    return found


def _size(result: LoomResult, label: str) -> str:
    sized = result.wires.get(label)
    return sized.size.name if sized else ""

"""Pin-outs: what goes into each cavity of each connector, and into each splice and stud."""

from dataclasses import dataclass

from django.core.exceptions import ValidationError

from engineering.bench.services import cut_rows
from engineering.loom.cutting import CutRow, pin_out
from engineering.loom.wire_list import LoomList, Pin
from engineering.models import CalcSheet
from engineering.sheets.loom_rows import loom_of


@dataclass(frozen=True)
class PinLine:
    """One cavity, or one wire of a splice or stud."""

    cavity: str
    row: CutRow | None
    label: str
    terminal: str
    other_end: str
    limits: str

    @property
    def is_free(self) -> bool:
        return not self.label


@dataclass(frozen=True)
class PinOut:
    """One connector, splice or stud."""

    name: str
    what: str
    joint: str
    lines: tuple[PinLine, ...]

    @property
    def has_cavities(self) -> bool:
        return any(line.cavity for line in self.lines)

    @property
    def has_limits(self) -> bool:
        return any(line.limits for line in self.lines)

    @property
    def used(self) -> int:
        return sum(not line.is_free for line in self.lines)


def pin_outs(sheet: CalcSheet) -> list[PinOut]:
    """Connectors in the order of the list, then splices and studs.

    Raises ValidationError if today's rules cannot read the sheet any more.
    """
    loom, rows = loom_of(sheet.inputs), cut_rows(sheet)
    connectors = [
        PinOut(
            connector.name,
            f"connector, {len(connector.cavities)} "
            + ("cavity" if len(connector.cavities) == 1 else "cavities"),
            connector.joint,
            tuple(
                _line(loom, rows, Pin(connector.name, cavity), cavity, label)
                for cavity, label in pin_out(loom, connector.name)
            ),
        )
        for connector in loom.connectors
    ]
    return connectors + [found for found in _studs(loom, rows) if found.lines]


def _studs(loom: LoomList, rows: dict[str, CutRow]) -> list[PinOut]:
    kinds = (("splice", loom.splices), ("ground stud", loom.grounds), ("supply", loom.supplies))
    return [
        PinOut(
            stud.name,
            what,
            stud.joint,
            tuple(
                _line(loom, rows, pin, "", wire.label)
                for wire in loom.wires
                for pin in (wire.start, wire.end)
                if pin == Pin(stud.name)
            ),
        )
        for what, studs in kinds
        for stud in studs
    ]


def _line(loom: LoomList, rows: dict[str, CutRow], pin: Pin, cavity: str, label: str) -> PinLine:
    row, contact = rows.get(label), loom.contacts.get(pin)
    limits = []
    if contact and contact.largest_mm2:
        limits.append(f"up to {contact.largest_mm2:g} mm²")
    if contact and contact.most_a:
        limits.append(f"{contact.most_a:g} A")
    terminal = contact.terminal if contact else ""
    other_end = ""
    if row is not None:
        is_start = row.start == str(pin)
        other_end = row.end if is_start else row.start
        terminal = terminal or (row.start_terminal if is_start else row.end_terminal)
    return PinLine(cavity, row, label, terminal, other_end, ", ".join(limits))


def read_pin_outs(sheet: CalcSheet) -> tuple[list[PinOut], str]:
    """The pin-outs, or why there are none."""
    try:
        return pin_outs(sheet), ""
    except ValidationError as error:
        return [], "Today's rules cannot read this revision any more: revise it. " + " ".join(error.messages)

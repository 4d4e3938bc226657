"""What is typed on the sheet of alternator and battery."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from engineering.fields import FigureField, KeptSheetField
from engineering.forms import SheetForm
from engineering.kept_tanks import looms_of_car, tank_sheet
from engineering.loom import SYSTEMS_V
from engineering.loom.budget_shares import suggested
from engineering.rows import Column, RowsField
from engineering.sheets.loom_rows import loom_of

LOADS = (
    Column("name", "Load", is_figure=False),
    Column("steady_a", "Current", "A", may_be_blank=True),
    Column("power_w", "or power", "W", may_be_blank=True),
    Column("idle_percent", "On at idle, night, rain", "%", default=0.0),
    Column("cruise_percent", "On at cruise, day", "%", default=0.0),
    Column("crank_percent", "On while cranking", "%", default=0.0),
)


class BudgetForm(SheetForm):
    system_v = forms.TypedChoiceField(
        label="System", coerce=int, choices=[(volts, f"{volts} V") for volts in SYSTEMS_V], initial=12
    )
    alternator_a = FigureField(words="Alternator, rated", unit="A", help_text="On its plate; 0 without one.")
    idle_percent = FigureField(
        words="It gives at hot idle", unit="%", initial=50,
        help_text="Of its rating: 40 to 60 (common practice). The maker's curve says it better.",
    )  # fmt: skip
    cruise_percent = FigureField(words="It gives at cruise", unit="%", initial=90)
    battery_ah = FigureField(
        words="Battery", unit="Ah", required=False, help_text="By its 20-hour rating, on its label. Or:"
    )
    reserve_min = FigureField(
        words="Battery, reserve", unit="min", required=False,
        help_text="Minutes at 25 A. The charge that this stands for is less than the 20-hour rating.",
    )  # fmt: skip
    usable_percent = FigureField(
        words="Of that may be used", unit="%", initial=50,
        help_text="And the engine still starts: common practice.",
    )  # fmt: skip
    drain_ma = FigureField(
        words="Drawn while parked", unit="mA", initial=50,
        help_text="Measured with the car locked and asleep; 50 is the most that the trade accepts.",
    )  # fmt: skip
    cranking_a = FigureField(words="Cranking current", unit="A", required=False)
    cranking_s = FigureField(words="Longest at one go", unit="s", required=False, initial=10)
    rated_v = FigureField(
        words="Powers hold at", unit="V", required=False,
        help_text="Empty: 13.5 V at 12 V, in proportion above (filament lamps, from memory).",
    )  # fmt: skip
    loom_sheet = KeptSheetField(
        label="Loom by its sheet", help_text="A kept wire list of this car, for what takes current."
    )
    loads = RowsField(label="What takes current, and when", columns=LOADS)

    def offer(self, job: Any) -> None:
        self.fields["loom_sheet"].offer(looms_of_car(job, self.initial.get("loom_sheet")))

    def full_clean(self) -> None:
        refused = self._take_components() if self.is_bound and self.data.get("take") else ""
        super().full_clean()
        if refused:
            self.add_error("loom_sheet", refused)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if not {"battery_ah", "reserve_min"} & set(self.errors):
            given = [name for name in ("battery_ah", "reserve_min") if cleaned.get(name) is not None]
            if len(given) != 1:
                words = "Battery: give it in Ah or as minutes of reserve, one of the two."
                self.add_error("battery_ah", words)
        if cleaned.get("cranking_a") is None and "cranking_a" not in self.errors:
            self.leave_out("cranking_s")
        elif cleaned.get("cranking_s") is None and "cranking_s" not in self.errors:
            self.add_error("cranking_s", "Longest at one go: give it in s with the cranking current.")
        seen: dict[str, int] = {}
        for number, row in enumerate(cleaned.get("loads") or [], start=1):
            for sentence in _row_faults(row, seen.setdefault(row["name"], number), number):
                self.add_error("loads", f"Line {number}: {sentence}")
        return cleaned

    def _take_components(self) -> str:
        """Components of the chosen loom in the place of the lines, to be read before they are kept."""
        field = self.fields["loom_sheet"]
        kept = field.kept.get(str(self.data.get(self.add_prefix("loom_sheet"))))
        sheet = tank_sheet(kept) if kept else None
        if sheet is None:
            return "Choose the sheet of a loom first."
        try:
            components = loom_of(sheet.inputs).components
        except ValidationError:
            return "That sheet cannot be read any more. Revise it first."
        data = self.data.copy()
        rows = [
            {
                "name": component.name,
                "steady_a": f"{component.steady_a:g}",
                "idle_percent": f"{100 * shares.idle:g}",
                "cruise_percent": f"{100 * shares.cruise:g}",
                "crank_percent": f"{100 * shares.crank:g}",
            }
            for component, shares in suggested(components)
        ]
        self.fields["loads"].widget.overwrite(data, self.add_prefix("loads"), rows)
        del data["take"]
        self.data = data
        self.taken_in = (
            f"{len(rows)} components of {field.words(kept)}. How long each is on is common practice, no "
            "source; what no generic circuit knows is taken as always on. Look at each line.",
        )
        return ""


def _row_faults(row: dict[str, Any], first: int, number: int) -> list[str]:
    faults = []
    if first != number:
        faults.append(f"{row['name']} stands in line {first} already; give each its own name.")
    if (row["steady_a"] is None) == (row["power_w"] is None):
        faults.append(f"{row['name']}: give its current or its power, one of the two.")
    for key, words, most in (("steady_a", "current", 400), ("power_w", "power", 6000)):
        if row[key] is not None and not 0 < row[key] <= most:
            faults.append(f"{row['name']}: a {words} of {row[key]:g} is not between 0 and {most}.")
    for column in LOADS[3:]:
        if not 0 <= row[column.key] <= 100:
            faults.append(f"{row['name']}: “{column.words}” must be 0 to 100 %, not {row[column.key]:g} %.")
    return faults

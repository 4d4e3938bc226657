"""What is typed on a weight sheet."""

from typing import Any

from django import forms

from engineering.fields import FigureField, KeptSheetField
from engineering.forms import SheetForm
from engineering.kept_tanks import looms_of_car, tanks_of_car
from engineering.rows import Column, RowsField

PLACE = (
    Column("x_mm", "Behind front axle", "mm"),
    Column("y_mm", "Right of middle", "mm", default=0.0),
    Column("z_mm", "Above ground", "mm"),
)
SCALES = ("front_left_kg", "front_right_kg", "rear_left_kg", "rear_right_kg")
LIFTED = ("front_lifted_kg", "lift_mm", "wheel_radius_mm")
OTHER_CHOICE = "The other choice"
MOST_CHOICES = 4
FUEL_PLACE = ("fuel_x_mm", "fuel_y_mm", "fuel_z_mm")
LOOM_PLACE = ("loom_x_mm", "loom_y_mm", "loom_z_mm")
FUEL_LITRES = ("fuel_least_l", "fuel_most_l")
STATES = {"least": "with the least of what changes", "most": "with the most of what changes"}


class WeightForm(SheetForm):
    wheelbase_mm = FigureField(words="Wheelbase", unit="mm")
    track_front_mm = FigureField(words="Front track", unit="mm")
    track_rear_mm = FigureField(words="Rear track", unit="mm")
    items = RowsField(
        label="What it consists of",
        columns=(Column("name", "Item", is_figure=False), Column("mass_kg", "Mass", "kg"), *PLACE),
    )
    changing = RowsField(
        label="What changes: fuel, driver, spare wheel",
        required=False,
        columns=(
            Column("name", "Load", is_figure=False),
            Column("least_kg", "Least", "kg", default=0.0),
            Column("most_kg", "Most", "kg"),
            *PLACE,
        ),
    )
    fuel_sheet = KeptSheetField(
        label="Fuel by the sheet of its tank",
        help_text="A kept sheet of this car, from a side profile or from a file. Its liquid is worked out "
        "litre by litre and must not stand in the table above as well.",
    )
    fuel_x_mm = FigureField(
        words="Tank’s origin, behind the front axle", unit="mm", required=False,
        help_text="The point from which that sheet measures forwards, left and up.",
    )  # fmt: skip
    fuel_y_mm = FigureField(
        words="Tank’s origin, right of the middle", unit="mm", required=False,
        help_text="The right side of a tank from a side profile.",
    )  # fmt: skip
    fuel_z_mm = FigureField(words="Tank’s origin, above the ground", unit="mm", required=False)
    fuel_least_l = FigureField(words="Least in the tank", unit="L", initial=0, required=False)
    fuel_most_l = FigureField(
        words="Most in the tank",
        unit="L",
        required=False,
        help_text="Empty: the most that its sheet fills in.",
    )
    loom_sheet = KeptSheetField(
        label="Loom by its sheet",
        help_text="A kept wire list of this car: its copper and insulation count as one item. It must not "
        "stand in the table above as well.",
    )
    loom_x_mm = FigureField(
        words="Middle of the loom, behind the front axle", unit="mm", required=False,
        help_text="About where it would balance: half its mass in front, half behind.",
    )  # fmt: skip
    loom_y_mm = FigureField(words="Middle of the loom, right of the middle", unit="mm", required=False)
    loom_z_mm = FigureField(words="Middle of the loom, above the ground", unit="mm", required=False)
    instead = RowsField(
        label="Choices to compare: items moved, replaced, taken off or put on",
        help_text="Lines with the same choice belong together. What is left blank stays as listed; a mass "
        "of 0 takes the item off; a name that is not on the list comes on top.",
        required=False,
        columns=(
            Column("choice", "Choice", is_figure=False, default=OTHER_CHOICE),
            Column("name", "Item", is_figure=False),
            Column("mass_kg", "Mass", "kg", may_be_blank=True),
            *(Column(column.key, column.words, column.unit, may_be_blank=True) for column in PLACE),
        ),
    )
    front_left_kg = FigureField(words="Scales, front left", unit="kg", required=False)
    front_right_kg = FigureField(words="Scales, front right", unit="kg", required=False)
    rear_left_kg = FigureField(words="Scales, rear left", unit="kg", required=False)
    rear_right_kg = FigureField(words="Scales, rear right", unit="kg", required=False)
    weighed = forms.ChoiceField(
        label="Weighed", choices=list(STATES.items()), initial="least", widget=forms.RadioSelect
    )
    front_lifted_kg = FigureField(
        words="Front axle with the rear lifted", unit="kg", required=False,
        help_text="Both front scales together; springs locked, tanks as said above.",
    )  # fmt: skip
    lift_mm = FigureField(
        words="Rear lifted by", unit="mm", required=False,
        help_text="The rear wheels’ middle over the front wheels’ middle.",
    )  # fmt: skip
    wheel_radius_mm = FigureField(words="Middle of the wheels, above the ground", unit="mm", required=False)

    def clean_instead(self) -> list[dict[str, Any]]:
        rows: list[dict[str, Any]] = self.cleaned_data["instead"]
        spelt: dict[str, str] = {}
        for row in rows:
            row["choice"] = spelt.setdefault(row["choice"].casefold(), row["choice"])
        if len(spelt) > MOST_CHOICES:
            raise forms.ValidationError(
                f"{len(spelt)} choices are more than stand side by side: keep {MOST_CHOICES}, the others on "
                "a sheet of their own."
            )
        return rows

    def offer(self, job: Any) -> None:
        self.fields["fuel_sheet"].offer(tanks_of_car(job, self.initial.get("fuel_sheet")))
        self.fields["loom_sheet"].offer(looms_of_car(job, self.initial.get("loom_sheet")))

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        given = [name for name in SCALES if cleaned.get(name) is not None]
        if given and len(given) < len(SCALES):
            for name in SCALES:
                if name not in given and name not in self.errors:
                    self.add_error(name, "Give all four scales, or none.")
        self._clean_lifted(cleaned, len(given))
        self._clean_fuel(cleaned)
        self._clean_loom(cleaned)
        for number, row in enumerate(cleaned.get("changing") or [], start=1):
            if row["most_kg"] < row["least_kg"]:
                self.add_error("changing", f"Line {number}: the most is less than the least.")
        return cleaned

    def _clean_lifted(self, cleaned: dict[str, Any], scales: int) -> None:
        given = [name for name in LIFTED if cleaned.get(name) is not None]
        if not given:
            return
        for name in LIFTED:
            if name not in given and name not in self.errors:
                self.add_error(name, "For the height give all three figures of the lifted car, or none.")
        if not scales:
            self.add_error(given[0], "For the height give the four scales of the level car too.")

    def _clean_fuel(self, cleaned: dict[str, Any]) -> None:
        if cleaned.get("fuel_sheet") is None and "fuel_sheet" not in self.errors:
            for name in (*FUEL_PLACE, *FUEL_LITRES):
                self.leave_out(name)
            return
        for name in FUEL_PLACE:
            if cleaned.get(name) is None and name not in self.errors:
                self.add_error(name, "Say where in the car the tank is.")

    def _clean_loom(self, cleaned: dict[str, Any]) -> None:
        is_taken = cleaned.get("loom_sheet") is not None or "loom_sheet" in self.errors
        for name in LOOM_PLACE:
            if not is_taken:
                self.leave_out(name)
            elif cleaned.get(name) is None and name not in self.errors:
                self.add_error(name, "Say where in the car the loom is.")

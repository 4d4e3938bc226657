"""Readings of a meter: as they are typed, and what they say of the wire."""

import re
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from engineering.fields import FigureField
from engineering.loom.bench import LOADED_C, Verdict, continuity_verdict, drop_verdict, ohm_words, volt_words
from engineering.loom.cutting import CutRow
from engineering.models import BenchReading

OPEN_WORDS = {"ol", "o.l", "o.l.", "open", "inf", "∞", "1."}
"""What a meter shows, or a fitter writes, where there is no continuity."""

_UNIT = re.compile(r"^(.*?)\s*(mΩ|mohm|milliohm|mV|mA|Ω|ohm|V|A)$")
_THOUSANDTHS = ("mΩ", "mohm", "milliohm", "mV", "mA")


class ReadingField(FigureField):
    """A figure in its unit or in thousandths of it: '0,074', '74 mΩ', '180 mV'."""

    def __init__(self, *, units: tuple[str, ...], **kwargs: Any) -> None:
        self.units = units
        super().__init__(required=False, **kwargs)

    def to_python(self, value: Any) -> float | None:
        typed = str(value or "").strip()
        found = _UNIT.match(typed)
        if found is None:
            return self._checked(super().to_python(typed))
        number, unit = found.groups()
        if unit not in self.units:
            raise ValidationError(f"{self.words}: “{typed[:24]}” is in {unit}; give it in {self.unit}.")
        read = super().to_python(number)
        if read is None:
            raise ValidationError(
                f"{self.words}: “{typed[:24]}” has no figure; write it like 0.12 {self.unit}."
            )
        return self._checked(read / 1000 if unit in _THOUSANDTHS else read)

    def _checked(self, read: float | None) -> float | None:
        if read is not None and read < 0:
            raise ValidationError(
                f"{self.words}: {read:g} {self.unit} is less than nothing. Swap the leads, or zero the meter."
            )
        return read


class ReadingForm(forms.Form):
    """Continuity, or a drop at a current, or both. “OL” stands for no continuity."""

    ohm = ReadingField(
        words="Continuity, end to end", unit="Ω", units=("Ω", "ohm", "mΩ", "mohm", "milliohm"),
        help_text="0.07, 0,07 or 70 mΩ. OL where the meter shows no continuity. Battery off.",
    )  # fmt: skip
    meter = forms.ChoiceField(
        label="Meter", choices=BenchReading.Meter.choices, initial="two", required=False,
        help_text="A plain meter is unsure of its own leads by 0.1 Ω: hold them together first.",
    )  # fmt: skip
    drop_v = ReadingField(
        words="Voltage drop, contact to contact", unit="V", units=("V", "mV"),
        help_text="With the current flowing. 0.18, 0,18 or 180 mV.",
    )  # fmt: skip
    at_a = ReadingField(
        words="At a current of", unit="A", units=("A", "mA"), help_text="By the clamp or the supply."
    )
    is_warm = forms.TypedChoiceField(
        label="Where",
        choices=[("", "at the bench, wire cold"), ("yes", "on the car, running warm")],
        coerce=bool,
        empty_value=False,
        required=False,
        help_text="A warm wire drops more: then its running temperature by the sheet counts.",
    )
    instrument = forms.CharField(
        label="Instrument",
        max_length=60,
        required=False,
        strip=True,
        help_text="Which meter, if you keep that.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.is_open = False

    def clean_meter(self) -> str:
        return self.cleaned_data["meter"] or BenchReading.Meter.TWO_LEADS

    def _clean_fields(self) -> None:
        typed = str(self.data.get(self.add_prefix("ohm"), "")).strip()
        if self.is_bound and typed.lower() in OPEN_WORDS:
            self.is_open = True
            self.data = self.data.copy()
            self.data[self.add_prefix("ohm")] = ""
        super()._clean_fields()

    def clean(self) -> dict[str, Any]:
        given: dict[str, Any] = super().clean() or self.cleaned_data
        if self.errors:
            return given
        drop_v, at_a = given.get("drop_v"), given.get("at_a")
        if (drop_v is None) != (at_a is None):
            missing = "at_a" if at_a is None else "drop_v"
            self.add_error(missing, "A voltage drop needs its current, and a current its drop: give both.")
        elif at_a is not None and not 0 < at_a <= 2000:
            self.add_error("at_a", f"At a current of: more than 0 A, 2000 A at most, not {at_a:g} A.")
        elif drop_v is not None and drop_v > 60:
            self.add_error(
                "drop_v", f"Voltage drop: {drop_v:g} V is more than any system here has; 60 V at most."
            )
        elif (given.get("ohm") or 0) > 1e7:
            self.add_error("ohm", "Continuity: that is no continuity; write OL.")
        elif given.get("ohm") is None and drop_v is None and not self.is_open:
            self.add_error("ohm", "Give a resistance (or OL), or a voltage drop and its current.")
        return given

    def given(self) -> dict[str, Any]:
        """What the service keeps."""
        return self.cleaned_data | {"is_open": self.is_open}


@dataclass(frozen=True)
class Compared:
    """A reading beside the calculation."""

    reading: BenchReading
    is_old: bool
    continuity: Verdict | None
    drop: Verdict | None

    @property
    def passes(self) -> bool:
        return all(one.passes for one in (self.continuity, self.drop) if one is not None)

    @property
    def lines(self) -> list[dict[str, Any]]:
        """What was read, what is expected, the limit, and why."""
        found = []
        reading = self.reading
        if self.continuity:
            read = "no continuity" if reading.is_open else ohm_words(reading.ohm or 0.0)
            found.append(_words("Continuity", read, self.continuity, ohm_words))
        if self.drop:
            read = f"{volt_words(reading.drop_v or 0.0)} at {reading.at_a:g} A"
            found.append(_words("Voltage drop", read, self.drop, volt_words))
        return found


def compare(reading: BenchReading, row: CutRow, running_c: float) -> Compared:
    """What a reading says of the wire that it was made of."""
    continuity = drop = None
    if reading.is_open or reading.ohm is not None:
        continuity = continuity_verdict(
            reading.size,
            reading.cut_mm,
            None if reading.is_open else reading.ohm,
            four_wire=reading.meter == BenchReading.Meter.FOUR_LEADS,
        )
    warmest_c = max(running_c, LOADED_C) if reading.is_warm else LOADED_C
    if reading.drop_v is not None and reading.at_a is not None:
        drop = drop_verdict(reading.size, reading.cut_mm, reading.drop_v, reading.at_a, warmest_c)
    is_old = reading.size != row.size or abs(reading.cut_mm - row.cut_mm) >= 0.5
    return Compared(reading, is_old, continuity, drop)


def _words(what: str, read: str, verdict: Verdict, words: Any) -> dict[str, Any]:
    return {
        "what": what,
        "read": read,
        "expected": words(verdict.expected),
        "most": words(verdict.most),
        "passes": verdict.passes,
        "why": verdict.why,
    }

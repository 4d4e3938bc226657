"""A field for a figure with a unit, as people type it."""

import re
from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

_PLAIN = re.compile(r"[+-]?\d{1,9}(\.\d{1,9})?")
_THOUSANDS_OR_DECIMALS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_MINUS_SIGNS = str.maketrans({"−": "-", "–": "-"})


class FigureField(forms.Field):
    """Text to a number: '2.5', '2,5' and '2.5 mm' (its own unit) are read, all else is refused in words."""

    widget = forms.TextInput

    def __init__(self, *, words: str, unit: str, **kwargs: Any) -> None:
        self.words, self.unit = words, unit
        kwargs.setdefault("error_messages", {"required": f"{words}: give it in {unit}."})
        kwargs.setdefault("label", f"{words}, {unit}")
        super().__init__(**kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {"inputmode": "decimal", "autocomplete": "off", "maxlength": 24, "class": "short"}

    def prepare_value(self, value: Any) -> Any:
        return f"{value:.9g}" if isinstance(value, int | float) else value

    def to_python(self, value: Any) -> float | None:
        typed = str(value or "").strip()
        if typed in self.empty_values:
            return None
        text = typed.removesuffix(self.unit).replace("\u00a0", " ").strip().translate(_MINUS_SIGNS)
        if _THOUSANDS_OR_DECIMALS.fullmatch(text):
            whole, decimals = text.split(",")
            raise ValidationError(
                f"{self.words}: “{typed}” can be read two ways; write {whole}{decimals} or "
                f"{whole}.{decimals}."
            )
        text = text.replace(",", ".")
        if not _PLAIN.fullmatch(text):
            raise ValidationError(
                f"{self.words}: “{typed[:24]}” is not a number in {self.unit}; write it like 12.5, without "
                "any other unit."
            )
        return float(text)


class KeptSheetField(forms.ChoiceField):
    """One of the kept sheets that `offer` lists, as {"sheet": key, "title": …, "revision": …}; or none."""

    def __init__(self, **kwargs: Any) -> None:
        self.kept: dict[str, dict[str, Any]] = {}
        super().__init__(choices=[("", "none")], required=False, **kwargs)

    def offer(self, sheets: Iterable[dict[str, Any]]) -> None:
        self.kept = {str(sheet["sheet"]): sheet for sheet in sheets}
        self.choices = [("", "none"), *((key, self.words(sheet)) for key, sheet in self.kept.items())]

    @staticmethod
    def words(sheet: dict[str, Any]) -> str:
        return f"{sheet['title']}, revision {sheet['revision']}"

    def prepare_value(self, value: Any) -> Any:
        return str(value["sheet"]) if isinstance(value, dict) else value

    def clean(self, value: Any) -> dict[str, Any] | None:
        return self.kept.get(str(super().clean(value)))


class CountField(FigureField):
    """A number of things."""

    def __init__(self, *, words: str, unit: str, **kwargs: Any) -> None:
        errors = {"required": f"{words}: give a number, 0 where there are none."}
        super().__init__(words=words, unit=unit, label=words, error_messages=errors, **kwargs)

    def to_python(self, value: Any) -> int | None:  # type: ignore[override]
        number = super().to_python(value)
        if number is None:
            return None
        if number != int(number):
            raise ValidationError(f"{self.words}: {number:g} is not a whole number.")
        return int(number)

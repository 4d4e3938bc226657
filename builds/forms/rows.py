"""Choosing several rows."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

LONGEST_ID = 18  # digits; longer ones do not fit the database's whole numbers and would be an error there


class RowsField(forms.ModelMultipleChoiceField):
    """As its parent, and refuses in words an id that no database could hold."""

    def clean(self, value: Any) -> Any:
        for each in value or ():
            if len(str(each)) > LONGEST_ID:
                raise ValidationError(
                    self.error_messages["invalid_pk_value"],
                    code="invalid_pk_value",
                    params={"pk": str(each)[:LONGEST_ID] + "…"},
                )
        return super().clean(value)

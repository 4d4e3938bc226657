"""What a service refuses, shown in the form that asked for it."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError


def add_refusal(form: forms.BaseForm, error: ValidationError) -> None:
    """Put each sentence beside its field where the form has that field, else above the form."""
    by_field: dict[str, Any] = error.message_dict if hasattr(error, "error_dict") else {}
    if not by_field:
        form.add_error(None, error)
    for name, sentences in by_field.items():
        form.add_error(name if name in form.fields else None, sentences)

"""What is typed to start a car, and the files sent with it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from builds.importing.tables import MOST_BYTES, MOST_ROWS
from builds.models import Car, Customer
from builds.services.imports import ListFiles, NewCar

FILE_HELP = f"CSV or XLSX, up to {MOST_BYTES // 1024 // 1024} MB and {MOST_ROWS:,} rows."
FILE_TYPES = ".csv,.xlsx,.xlsm,text/csv,application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class NewCarForm(forms.Form):
    name = forms.CharField(
        label="Name of the car", max_length=40, help_text="What you call it here; each name once."
    )
    description = forms.CharField(
        label="Description",
        max_length=120,
        required=False,
        help_text="For example ‘1966 two-door fastback’.",
    )
    customer = forms.ModelChoiceField(
        label="Customer",
        queryset=Customer.objects.all(),
        required=False,
        empty_label="nobody yet, or somebody new",
        help_text="Only managers see who it is.",
    )
    new_customer = forms.CharField(label="New customer", max_length=80, required=False)
    phone = forms.CharField(label="Telephone", max_length=40, required=False)
    email = forms.EmailField(label="E-mail", max_length=254, required=False)

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if Car.objects.filter(name__iexact=name).exists():
            raise forms.ValidationError(
                f"There is a car called “{name}” already. Give this one another name."
            )
        return name

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        name = cleaned.get("new_customer", "")
        if cleaned.get("customer") and name:
            self.add_error("new_customer", "Choose a customer or name a new one, not both.")
        elif name and Customer.objects.filter(name__iexact=name).exists():
            self.add_error("new_customer", f"“{name}” is a customer already: choose them above.")
        elif not name and (cleaned.get("phone") or cleaned.get("email")):
            self.add_error("new_customer", "Telephone and e-mail are those of a new customer: give the name.")
        return cleaned

    def new_car(self) -> NewCar:
        """What was typed; a new customer is not saved yet."""
        cleaned = self.cleaned_data
        customer = cleaned["customer"]
        if cleaned["new_customer"]:
            customer = Customer(name=cleaned["new_customer"], phone=cleaned["phone"], email=cleaned["email"])
        return NewCar(name=cleaned["name"], description=cleaned["description"], customer=customer)

    def typed(self) -> dict[str, str]:
        """The fields as they were sent, to be read by this form once more at the confirmation."""
        return {name: self.data.get(name, "") for name in NewCarForm.base_fields}


class CopiedCarForm(NewCarForm):
    source = forms.ModelChoiceField(
        label="Copy the plan of",
        queryset=Car.objects.all(),
        empty_label="choose a car",
        error_messages={"invalid_choice": "That car is not here any more: choose another."},
    )
    field_order = ("source", "name", "description")


class ListFile(forms.FileField):
    """One list; its size is checked before a byte of it is read."""

    widget = forms.FileInput(attrs={"accept": FILE_TYPES})

    def clean(self, data: Any, initial: Any = None) -> Any:
        if isinstance(data, UploadedFile) and data.size is not None and data.size > MOST_BYTES:
            raise forms.ValidationError(
                f"The file is larger than {MOST_BYTES // 1024 // 1024} MB. Split it into smaller lists."
            )
        return super().clean(data, initial)


class ListsForm(forms.Form):
    """A job list, a parts list, or both."""

    job_list = ListFile(label="Job list", required=False, help_text=FILE_HELP, allow_empty_file=True)
    parts_list = ListFile(label="Parts list", required=False, help_text=FILE_HELP, allow_empty_file=True)
    add_names = forms.BooleanField(
        label="Add new areas and skills that the list names",
        required=False,
    )

    def __init__(self, *args: Any, required: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if required:
            self.fields[required].required = True
            self.order_fields([required])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not (cleaned.get("job_list") or cleaned.get("parts_list")):
            raise forms.ValidationError("Choose a file to read.")
        return cleaned

    def files_sent(self) -> ListFiles:
        return ListFiles(_content(self.cleaned_data["job_list"]), _content(self.cleaned_data["parts_list"]))


class CarFromFileForm(NewCarForm, ListsForm):
    field_order = (
        "name",
        "description",
        "job_list",
        "parts_list",
        "add_names",
        "customer",
        "new_customer",
        "phone",
        "email",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, required="job_list", **kwargs)
        self.order_fields(self.field_order)


def _content(sent: UploadedFile | None) -> bytes | None:
    return sent.read() if sent is not None else None

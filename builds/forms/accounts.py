"""What is typed to sign in."""

from typing import Any

from django import forms

from builds.services.people import LONGEST_SECRET


def secret_input(*, is_new: bool = False, **attrs: str) -> forms.PasswordInput:
    return forms.PasswordInput(
        attrs={"autocomplete": "new-password" if is_new else "current-password", **attrs}
    )


class PasswordForm(forms.Form):
    name = forms.CharField(
        label="Name", max_length=60, widget=forms.TextInput(attrs={"autocomplete": "username"})
    )
    password = forms.CharField(
        label="Password", max_length=LONGEST_SECRET, strip=False, widget=secret_input()
    )


class PinForm(forms.Form):
    pin = forms.CharField(
        label="PIN",
        max_length=8,
        widget=secret_input(inputmode="numeric", pattern="[0-9]*", maxlength="8", autocomplete="off"),
        error_messages={"required": "Type your PIN.", "max_length": "A PIN has no more than 8 digits."},
    )


class TwiceTyped(forms.Form):
    """A new secret and the same again: nobody sees what he types."""

    secret = forms.CharField(
        label="Password", max_length=LONGEST_SECRET, strip=False, widget=secret_input(is_new=True)
    )
    secret_again = forms.CharField(
        label="The same again", max_length=LONGEST_SECRET, strip=False, widget=secret_input(is_new=True)
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "secret" in cleaned and "secret_again" in cleaned and cleaned["secret"] != cleaned["secret_again"]:
            self.add_error("secret_again", "The two differ. Type both again.")
        return cleaned


class FirstManagerForm(TwiceTyped):
    workshop_name = forms.CharField(label="Name of the workshop", max_length=80)
    name = forms.CharField(
        label="Your name", max_length=60, widget=forms.TextInput(attrs={"autocomplete": "username"})
    )
    field_order = ("workshop_name", "name", "secret", "secret_again")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["secret"].help_text = "10 characters or more; a short sentence is good."

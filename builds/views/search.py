"""Find a car, a job, a part …"""

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from builds.access import signed_in_person
from builds.sheets import finding as finding


class SearchForm(forms.Form):
    q = forms.CharField(
        label="Words",
        max_length=80,
        help_text="In any order; each must be there. Capitals do not matter.",
        widget=forms.TextInput(attrs={"type": "search"}),
        error_messages={"required": "Type a word first."},
    )


@require_GET
def search(request: HttpRequest) -> HttpResponse:
    form = SearchForm(request.GET if "q" in request.GET else None)
    text = form.cleaned_data["q"] if form.is_valid() else ""
    findings = finding.find(text, with_customers=signed_in_person(request).is_manager) if text else None
    return render(
        request, "builds/search.html", {"form": form, "findings": findings, "most": finding.MOST_SHOWN}
    )

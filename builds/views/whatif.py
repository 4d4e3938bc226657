"""What if: a question is put together in the address, kept by a press, or thrown away by leaving."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from builds.access import managers_only, signed_in_person
from builds.forms.whatif import TriedForm, tried_forms
from builds.network.levelled import hands
from builds.services.whatif import changes_keep
from builds.sheets.whatif import LETTERS, WhatIf, address, read_what_if

MOST_LINES = 12  # of one question


@managers_only
@require_safe
def what_if(request: HttpRequest) -> HttpResponse:
    sheet = read_what_if(_asked(request), timezone.localdate())
    people = {person.pk: person.name for person in hands().values()}
    forms = tried_forms(request.GET, sheet.state, people)
    bound = next((form for form in forms if form.is_bound), None)
    if bound is not None and bound.is_valid():
        return _added(sheet, bound)
    context = {"sheet": sheet, "forms": forms, "bound": bound, "letters": LETTERS}
    return render(request, "builds/what_if.html", context)


def _asked(request: HttpRequest) -> dict[str, tuple[str, ...]]:
    said = request.POST if request.method == "POST" else request.GET
    return {letter: tuple(said.getlist(letter)[:MOST_LINES]) for letter in LETTERS}


def _added(sheet: WhatIf, form: TriedForm) -> HttpResponse:
    to, line = form.cleaned_data["to"], form.change().line
    lines = (*(one for one in sheet.asked[to] if one != line), line)
    return redirect(address({**sheet.asked, to: lines}))


@managers_only
@require_POST
def what_if_keep(request: HttpRequest) -> HttpResponse:
    """Make the changes of one question for real, all of them or none."""
    asked = _asked(request)
    letter = request.POST.get("keep", "")
    if letter not in LETTERS or not asked.get(letter):
        messages.error(request, "Nothing was kept: that question is empty.")
        return redirect(address(asked))
    try:
        done = changes_keep(
            lines=asked[letter],
            reason=request.POST.get("reason", ""),
            by=signed_in_person(request),
            at=timezone.now(),
        )
    except ValidationError as error:
        messages.error(request, "Nothing was kept. " + " ".join(error.messages))
        return redirect(address(asked))
    for words in done:
        messages.success(request, words)
    return redirect(address({**asked, letter: ()}))

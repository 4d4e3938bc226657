"""Photos and drawings: taking them in, and showing them to whoever is signed in."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from builds.access import signed_in_person
from builds.addresses import own_address
from builds.forms.parts import FileForm
from builds.forms.refusals import add_refusal
from parts.models import StoredFile
from parts.services.files import DXF, ENDINGS, file_add


@require_POST
def file_new(request: HttpRequest) -> HttpResponse:
    """Photos from everybody; drawings from managers, because work is done by them."""
    person = signed_in_person(request)
    form = FileForm(request.POST, request.FILES)
    if form.is_valid():
        given = {name: value for name, value in form.cleaned_data.items() if name != "next"}
        if given["kind"] == StoredFile.Kind.DRAWING and not person.is_manager:
            raise PermissionDenied("Only a manager may add a drawing.")
        try:
            stored = file_add(**given, by=person, at=timezone.now())
        except ValidationError as error:
            add_refusal(form, error)
        else:
            messages.success(request, f"“{stored}” is added.")
            return redirect(_back(request, form))
    return render(request, "builds/part_file.html", {"form": form, "back": _back(request, form)})


@require_safe
def file(request: HttpRequest, file_id: int) -> HttpResponseBase:
    """The file itself, named after what it shows. Its type is the one that was found in its content."""
    stored = get_object_or_404(StoredFile, pk=file_id)
    if stored.content_type not in ENDINGS:
        raise Http404("This kind of file is not shown.")
    try:
        content = stored.file.open("rb")
    except FileNotFoundError as error:
        raise Http404("The file is on record, but no longer on the disk. Restore it from a copy.") from error
    response = FileResponse(
        content,
        content_type=stored.content_type,
        as_attachment=stored.content_type == DXF,
        filename=f"{slugify(str(stored)) or 'file'}.{ENDINGS[stored.content_type]}",
    )
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, max-age=86400"  # a stored file never changes
    return response


def _back(request: HttpRequest, form: FileForm) -> str:
    wanted = own_address(request, form.data.get("next", ""))
    if wanted:
        return wanted
    given = getattr(form, "cleaned_data", {})
    thing = given.get("part") or given.get("job") or given.get("car")
    return thing.get_absolute_url() if thing else "/"

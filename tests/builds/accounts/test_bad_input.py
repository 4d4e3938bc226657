"""Nonsense in every field of every address: told in words or taken as typed, never a fault.

All fields that any page of the project has are sent to every address, each holding the same nonsense; then
one field at a time, beside what the page itself would send. After an answer that is not a redirect no row
of any table is another than before; after a redirect only the tables that the address is there to write.

Each address meets a few kinds of nonsense, taken in turn, and every third field one by itself. With
FO_THOROUGH=1 each field meets all of them, which takes some minutes.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from io import BytesIO
from itertools import cycle, islice
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import Client
from django.urls import resolve, reverse
from django.utils import timezone
from PIL import Image

from tests.builds.accounts.addresses import NAMES, PATTERNS, address_of
from tests.builds.accounts.roles import MANAGERS_ONLY

NONSENSE = {
    "nothing": "",
    "one letter": "x",
    "less than nothing": "-1",
    "nought": "0",
    "no number": "NaN",
    "endless": "1e999",
    "full-width digits": "２",
    "a number past every column": "9" * 40,
    "a number past the rows": "987654321",
    "a stroke of nul": "a\x00b",
    "the first day": "0001-01-01",
    "the last day": "9999-12-31",
    "no such day": "2027-02-30",
    "markup": "<script>alert(1)</script>",
    "half a letter": "\ud800",
    "a long text": "x" * 20_000,
}
IS_THOROUGH = os.environ.get("FO_THOROUGH") == "1"
PER_ADDRESS, PER_FIELD, EVERY_FIELD = (len(NONSENSE), len(NONSENSE), 1) if IS_THOROUGH else (2, 1, 3)
FORM = "application/x-www-form-urlencoded"

# Tables that an address may write; an address that is not here may write none.
BENCH = "engineering_bench"
JOB, TIME, LINE, PARTS = "builds_job", "builds_timespent", "parts_operation", "parts_part"
CAR_TABLES = {"builds_car", "builds_customer", "builds_milestone", "builds_milestone_jobs", JOB, PARTS, LINE}
CAR_TABLES |= {"builds_joblink", "builds_need", "parts_operation_after_jobs", "builds_area", "builds_skill"}
MAY_WRITE: dict[str, set[str]] = {
    "absence-delete": {"builds_absence"},
    "absence-new": {"builds_absence"},
    "overtime-delete": {"builds_overtime"},
    "overtime-new": {"builds_overtime"},
    "plan-keep": {"builds_keptplan"},
    "area-delete": {"builds_area"},
    "area-edit": {"builds_area"},
    "area-move": {"builds_area"},
    "area-new": {"builds_area"},
    "away-back": {"builds_away"},
    "away-change": {"builds_away"},
    "batch-change": {"parts_finishingbatch", LINE},
    "batch-dissolve": {"parts_finishingbatch", LINE},
    "batch-new": {"parts_finishingbatch", LINE},
    "batch-send": {"parts_finishingbatch", LINE, "parts_supplierpromise"},
    "batch-take-back": {"parts_finishingbatch", LINE},
    "bay-delete": {"builds_bay"},
    "bay-edit": {"builds_bay"},
    "bay-new": {"builds_bay"},
    "bench-change-seen": {"engineering_benchchange"},
    "bench-reading-take-back": {"engineering_benchreading"},
    "bench-take": {BENCH, "engineering_benchtaking", "engineering_benchtick", "engineering_benchchange"},
    "bench-tick": {"engineering_benchtick"},
    "bench-wire": {"engineering_benchreading"},
    "calc-sheet-new": {"engineering_calcsheet"},
    "calc-sheet-part": {"engineering_calcsheet"},
    "calc-sheet-revise": {"engineering_calcsheet"},
    "calendar-new": {"builds_calendarfeed"},
    "calendar-revoke": {"builds_calendarfeed"},
    "call-new": {"parts_call", "parts_call_operations", LINE, "parts_supplierpromise"},
    "car-edit": {"builds_car", "builds_customer"},
    "car-promise": {"builds_milestonepromise"},
    "car-start": CAR_TABLES,
    "car-start-copy": CAR_TABLES,
    "car-start-template": CAR_TABLES,
    "car-where": {"builds_away"},
    "closure-delete": {"builds_closure"},
    "closure-new": {"builds_closure"},
    "decision-answer": {"builds_decision"},
    "decision-new": {"builds_decision"},
    "deliveries": {LINE, "parts_goodsin"},
    "file-add": {"parts_storedfile"},
    "finishing-choose": {"parts_finishingbatch", LINE},
    "goods-in": {LINE, "parts_goodsin", "parts_storedfile"},
    "goods-out": {LINE, "parts_supplierpromise"},
    "job-clock-stop": {TIME},
    "job-done": {JOB, TIME},
    "job-edit": {JOB, "builds_joblink", "builds_need"},
    "job-hold": {"builds_decision", TIME},
    "job-new": {JOB, "builds_joblink", "builds_need"},
    "job-note": {"builds_jobnote"},
    "job-photo": {"parts_storedfile"},
    "job-sign-off": {JOB},
    "job-start": {JOB, TIME, "builds_jobnote"},
    "job-take-back": {JOB, TIME, "builds_jobnote"},
    "job-time": {TIME},
    "loom-order": {PARTS, LINE, JOB, "builds_need", "engineering_wirebought"},
    "milestone-edit": {"builds_milestone", "builds_milestone_jobs"},
    "milestone-new": {"builds_milestone", "builds_milestone_jobs"},
    "operation-delete": {LINE, "parts_operation_after_jobs", "parts_overrule"},
    "operation-edit": {LINE, "parts_operation_after_jobs", "parts_overrule"},
    "operation-new": {LINE, "parts_operation_after_jobs", "parts_overrule"},
    "operation-promise": {LINE, "parts_supplierpromise"},
    "operation-take-back": {LINE, "parts_goodsin"},
    "order-cancel": {"parts_purchaseorder", LINE},
    "order-change": {"parts_purchaseorder", LINE, "parts_supplierpromise"},
    "order-line-off": {"parts_purchaseorder", LINE},
    "order-new": {"parts_purchaseorder", LINE, "parts_supplierpromise"},
    "orders-place": {LINE},
    "part-edit": {PARTS, "parts_overrule"},
    "part-measure": {PARTS},
    "part-new": {PARTS},
    "pieces-missing": {
        PARTS,
        LINE,
        "builds_need",
        "parts_goodsin",
        "parts_operation_after_jobs",
        "parts_overrule",
        "parts_storedfile",
        "parts_supplierpromise",
    },
    "pieces-together": {PARTS, LINE, "builds_need", "parts_goodsin", "parts_storedfile"},
    "person-edit": {"builds_person", "builds_person_skills"},
    "person-new": {"builds_person", "builds_person_skills"},
    "progress-sheet-new": {"builds_progresssheet"},
    "sheet-take-over": {PARTS},
    "skill-delete": {"builds_skill"},
    "skill-edit": {"builds_skill"},
    "skill-new": {"builds_skill"},
    "supplier-closure-delete": {"parts_supplierclosure"},
    "supplier-closure-new": {"parts_supplierclosure"},
    "supplier-edit": {"parts_supplier", "parts_supplier_processes"},
    "supplier-price-delete": {"parts_supplierprice"},
    "supplier-price-edit": {"parts_supplierprice"},
    "supplier-price-new": {"parts_supplierprice"},
    "supplier-new": {"parts_supplier", "parts_supplier_processes"},
    "time-correct": {TIME},
    "trade-rule-delete": {"parts_traderule"},
    "trade-rule-edit": {"parts_traderule"},
    "trade-rule-new": {"parts_traderule"},
    "trade-verdict-delete": {"parts_materialverdict"},
    "trade-verdict-edit": {"parts_materialverdict"},
    "trade-verdict-new": {"parts_materialverdict"},
    "workshop-settings": {"builds_workshop"},
}
COUNT_WRONG_TRIES = {"sign-in", "sign-in-pin", "job-sign-off"}  # on the person, whatever they answer
NOT_WATCHED = {
    *("django_session", "django_migrations", "django_content_type", "sqlite_sequence"),
    "builds_tablestamp",  # follows the tables that are watched
}
FIELD = re.compile(r"<(?:input|select|textarea|button)\b[^>]*>")
ATTRIBUTE = re.compile(r'([\w-]+)="([^"]*)"')
POST_FORM = re.compile(r'<form\b([^>]*method="post"[^>]*)>(.*?)</form>', re.DOTALL)
EXPORTS = {"export-csv", "export-workbook"}
QUERY = (
    *("q", "person", "supplier", "car", "when", "area", "next", "shown"),
    *("look", "operation", "leaves", "planned_on", "note", "version", "kind"),
)
SLOW = {"progress-sheet-new", "batch-note", "car-job-list"}  # they draw a PDF: tested with their own


def rows() -> dict[str, str]:
    """A mark of all rows of each table."""
    found = {}
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            if table not in NOT_WATCHED:
                cursor.execute(f'SELECT * FROM "{table}" ORDER BY 1')  # our own names
                found[table] = hashlib.sha256(repr(cursor.fetchall()).encode()).hexdigest()
    return found


@contextmanager
def undone() -> Iterator[None]:
    """Whatever is written inside is taken back."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def encoded(fields: dict[str, Any]) -> str:
    return urlencode(fields, doseq=True, errors="surrogatepass")


def attributes(tag: str) -> dict[str, str]:
    return dict(ATTRIBUTE.findall(tag))


def forms_on(page: str) -> Iterator[tuple[str, dict[str, list[str]]]]:
    """Where each form of a page goes, and what it would send as it stands."""
    for head, body in POST_FORM.findall(page):
        sent: dict[str, list[str]] = {}
        for tag in FIELD.findall(body):
            given = attributes(tag)
            if "name" not in given or given["name"] == "csrfmiddlewaretoken":
                continue
            values = sent.setdefault(given["name"], [])
            ticked = given.get("type") not in ("checkbox", "radio") or " checked" in tag
            if "value" in given and ticked:
                values.append(given["value"])
        yield attributes(f"<form {head}>").get("action", ""), sent


@pytest.fixture
def at_work(everything: dict[str, Any], fitter: Any, plater: Any, make_part: Any, make_job: Any) -> Any:
    """Beside one of each thing: a job in hand, one that waits for a signature, a part out, a car away."""
    from builds.models import Away, Car

    now, today = timezone.now(), timezone.localdate()
    car = Car.objects.get(pk=everything["car_id"])
    make_job(car, "in hand", started_at=now, started_by=fitter)
    make_job(car, "done", done_at=now, done_by=fitter, needs_signature=True)
    make_part(car, "Header tank", route=[("fabricate", plater, 5)]).operations.update(sent_on=today)
    leaves, back = today + timedelta(9), today + timedelta(12)
    Away.objects.create(car=car, supplier=plater, what_for="paint", leaves_on=leaves, due_back_on=back)
    return everything


@pytest.fixture
def forms(at_work: Any, manager: Any) -> dict[tuple[str, str], dict[str, list[str]]]:
    """Every form that a manager meets, by the name of its address and the address."""
    from builds.models import Job
    from parts.models import Operation

    client = Client()
    client.force_login(manager)
    looked_at = [address_of(name, at_work) for name in NAMES if name not in SLOW]
    looked_at += [job.get_absolute_url() for job in Job.objects.all()]
    for line in Operation.objects.all():
        looked_at += [reverse(act, args=[line.pk]) for act in ("goods-in", "goods-out", "operation-promise")]
    found: dict[tuple[str, str], dict[str, list[str]]] = {}
    for address in looked_at:
        answer = client.get(address)
        is_page = answer.headers.get("Content-Type", "").startswith("text/html") and not answer.streaming
        if answer.status_code == 200 and is_page:
            for action, sent in forms_on(answer.content.decode()):
                goes_to = (action or address).partition("?")[0]
                found.setdefault((str(resolve(goes_to).url_name), goes_to), sent)
    return found


def check(answer: Any, before: dict[str, str], name: str, what: str) -> None:
    assert answer.status_code < 500, f"{name} with {what}: {answer.status_code}"
    after = rows()
    changed = {table for table in after if after[table] != before[table]}
    allowed = MAY_WRITE.get(name, set()) if answer.status_code == 302 else set()
    if name in COUNT_WRONG_TRIES:
        allowed = allowed | {"builds_person"}
    assert changed <= allowed, f"{name} with {what}: {answer.status_code}, wrote {changed - allowed}"


@pytest.mark.parametrize("role", ["manager", "fitter"])
def test_nonsense_in_all_fields_at_once_is_never_a_fault(
    role: str, forms: Any, at_work: Any, request: pytest.FixtureRequest
) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(request.getfixturevalue(role))
    fields = sorted({field for sent in forms.values() for field in sent})
    assert len(fields) > 100
    refused = MANAGERS_ONLY if role == "fitter" else set()
    before, turn = rows(), cycle(NONSENSE.items())
    for name in sorted(set(NAMES) - SLOW - {"sign-out"} - refused):
        for what, nonsense in islice(turn, PER_ADDRESS):
            body = encoded(dict.fromkeys(fields, nonsense[: 2_000_000 // len(fields)]))
            with undone():
                answer = client.post(address_of(name, at_work), body, content_type=FORM)
                check(answer, before, name, what)


def test_nonsense_in_one_field_is_never_a_fault(forms: Any, manager: Any) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(manager)
    before, turn = rows(), cycle(NONSENSE.items())
    assert len(forms) > 50
    for (name, address), sent in sorted(forms.items()):
        if name in SLOW | {"sign-out"}:
            continue
        for field in islice(sent, 0, None, EVERY_FIELD):
            for what, nonsense in islice(turn, PER_FIELD):
                with undone():
                    answer = client.post(address, encoded({**sent, field: nonsense}), content_type=FORM)
                    check(answer, before, name, f"{what} as {field}")


def test_nonsense_in_an_address_is_never_a_fault(everything: dict[str, Any], manager: Any) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(manager)
    before, turn = rows(), cycle(NONSENSE.items())
    for name in sorted(set(NAMES) - SLOW - EXPORTS):
        for what, nonsense in islice(turn, PER_ADDRESS):
            query = encoded(dict.fromkeys(QUERY, nonsense[:400]))
            answer = client.get(f"{address_of(name, everything)}?{query}")
            assert answer.status_code < 500, f"{name} with {what}: {answer.status_code}"
    assert rows() == before


@pytest.mark.parametrize("number", [0, 987654321, 10**18, 10**40])
def test_a_number_that_is_nothing_is_not_found(number: int, everything: Any, manager: Any) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(manager)
    before = rows()
    for name in NAMES:
        numbers = [key for key in PATTERNS[name].pattern.converters if key not in ("kind", "ending")]
        if numbers:
            address = address_of(name, everything | dict.fromkeys(numbers, number))
            codes = {client.get(address).status_code, client.post(address).status_code}
            assert codes <= {404, 405}, f"{name}: {codes}"
    assert rows() == before


def test_no_press_counts_without_the_mark_of_our_own_page(everything: Any, manager: Any) -> None:
    """CSRF: a page of somebody else cannot press a button in the name of whoever is signed in."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(manager)
    before = rows()
    for name in NAMES:
        answer = client.post(address_of(name, everything), {"next": "/"})
        assert answer.status_code == 403, name
        assert "This page was out of date" in answer.content.decode(), name
    assert rows() == before


def test_every_answer_forbids_frames_guessing_and_foreign_scripts(everything: Any, manager: Any) -> None:
    client = Client()
    client.force_login(manager)
    for name in sorted(set(NAMES) - SLOW - EXPORTS):
        answer = client.get(address_of(name, everything))
        assert answer.headers["X-Frame-Options"] == "DENY", name
        assert answer.headers["X-Content-Type-Options"] == "nosniff", name
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"], name


def _bomb() -> bytes:
    """A picture of 60 million equal pixels: some kilobytes that want a quarter of a gigabyte."""
    buffer = BytesIO()
    Image.new("1", (10_000, 6_000)).save(buffer, "PNG")
    return buffer.getvalue()


FILES = {
    "nothing": ("a.jpg", b""),
    "text called a picture": ("a.jpg", b"not a picture"),
    "a picture that breaks off": ("a.png", b"\x89PNG\r\n\x1a\n" + b"\0" * 40),
    "far too many pixels": ("a.png", _bomb()),
    "a page called a drawing": ("a.pdf", b"<html><script>alert(1)</script>"),
    "a PDF that breaks off": ("a.pdf", b"%PDF-1.7\n" + b"x" * 5000),
    "a ZIP that breaks off": ("a.xlsx", b"PK\x03\x04" + b"\xff" * 3000),
    "a table of nul": ("a.csv", b"\0" * 3000),
    "bytes that are no text": ("a.csv", bytes(range(256)) * 40),
    "one endless line": ("a.csv", b"x" * 300_000),
    "a name out of the folder": ("../../x.csv", b"title\n\n"),
}
TAKERS = {
    "file-add": ("upload",),
    "job-photo": ("upload",),
    "import-jobs": ("job_list", "parts_list"),
    "import-parts": ("job_list", "parts_list"),
    "car-start-file": ("job_list", "parts_list"),
}


@pytest.mark.parametrize("name", TAKERS)
@pytest.mark.parametrize("kind", ["photo", "drawing"])
def test_a_nonsense_file_is_refused_in_words(
    name: str, kind: str, everything: Any, manager: Any, settings: Any
) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(manager)
    before, kept = rows(), files_in(settings.MEDIA_ROOT)
    for what, (called, content) in FILES.items():
        sent: dict[str, Any] = {field: SimpleUploadedFile(called, content) for field in TAKERS[name]}
        sent |= {"name": "Gannet", "kind": kind, "revision": "A", "part": everything["part_id"]}
        answer = client.post(address_of(name, everything), sent)
        assert answer.status_code == 200, f"{name} with {what}: {answer.status_code}"
        assert rows() == before, f"{name} with {what}"
        assert files_in(settings.MEDIA_ROOT) == kept, f"{name} with {what}"


def files_in(folder: Path) -> set[Path]:
    return {path for path in folder.rglob("*") if path.is_file()}

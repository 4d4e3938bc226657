"""Sending a list, looking at it, adding it."""

from __future__ import annotations

import os
import re
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.importing.columns import JOB_COLUMNS, PART_COLUMNS
from builds.models import Area, Car, Customer, Job, Person
from parts.models import Part

LIST = "area,title,hours\ncooling,Bleed,2\ncooling,Fill,1\n"


def _file(content: str | bytes, name: str = "list.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content.encode() if isinstance(content, str) else content)


def _slip(page: str) -> str:
    found = re.search(r'name="slip" value="([^"]*)"', page)
    assert found, page
    return found[1]


def _look(client: Client, car: Car, content: str | bytes, **data: Any) -> str:
    answer = client.post(reverse("import-jobs", args=[car.pk]), {"job_list": _file(content), **data})
    assert answer.status_code == 200
    return answer.content.decode()


def _kept(settings: Any) -> list[Path]:
    return list((Path(settings.MEDIA_ROOT) / "imports").glob("*"))


def test_a_list_is_sent_looked_at_and_added(as_manager: Client, tern: Car, area: Area, settings: Any) -> None:
    page = _look(as_manager, tern, LIST)
    assert "<p>2 jobs.</p>" in page
    assert not Job.objects.exists()
    answer = as_manager.post(reverse("import-confirm"), {"slip": _slip(page)}, follow=True)
    assert answer.redirect_chain == [(tern.get_absolute_url(), 302)]
    assert "Added to Tern: 2 jobs." in answer.content.decode()
    assert list(tern.jobs.values_list("title", flat=True)) == ["Bleed", "Fill"]
    assert _kept(settings) == []


def test_a_second_press_adds_nothing_twice(as_manager: Client, tern: Car, area: Area) -> None:
    slip = _slip(_look(as_manager, tern, LIST))
    as_manager.post(reverse("import-confirm"), {"slip": slip})
    answer = as_manager.post(reverse("import-confirm"), {"slip": slip}, follow=True)
    assert "they were added already, or were sent too long ago" in answer.content.decode()
    assert Job.objects.count() == 2


def test_the_same_file_again_says_that_nothing_is_new(as_manager: Client, tern: Car, area: Area) -> None:
    as_manager.post(reverse("import-confirm"), {"slip": _slip(_look(as_manager, tern, LIST))})
    page = _look(as_manager, tern, LIST)
    assert "Every row of the file is there already" in page
    assert 'name="slip"' not in page


def test_faults_are_listed_and_nothing_can_be_added(
    as_manager: Client, tern: Car, area: Area, settings: Any
) -> None:
    page = _look(as_manager, tern, "area,title,hours\ncoolng,Bleed,x\n")
    assert "2 things have to be put right" in page
    assert "<b>Job list, row 2, hours likely:</b> “x” is not a number." in page
    assert 'name="slip"' not in page
    assert _kept(settings) == []


def test_html_in_a_file_is_shown_as_text(as_manager: Client, tern: Car, area: Area) -> None:
    evil = "<script>alert(1)</script>"
    page = _look(
        as_manager, tern, f'area,title,hours,note,<i>x</i>\ncooling,{evil},1,{evil},\n{evil},"",{evil},,\n'
    )
    page += _look(as_manager, tern, f"area,title,hours,note\ncooling,{evil},1,{evil}\n")
    assert "<script>alert" not in page
    assert "<i>x" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_a_parts_list_may_come_with_the_job_list(as_manager: Client, tern: Car, area: Area) -> None:
    parts = _file("part,process,lead time,needed by\nRadiator,Fabricate,15,Bleed\n")
    page = _look(as_manager, tern, LIST, parts_list=parts)
    as_manager.post(reverse("import-confirm"), {"slip": _slip(page)})
    assert Part.objects.get().job_needs.get().job.title == "Bleed"


def test_a_parts_list_alone(as_manager: Client, tern: Car) -> None:
    answer = as_manager.post(
        reverse("import-parts", args=[tern.pk]), {"parts_list": _file("part,qty\nHorn,2\n")}
    )
    as_manager.post(reverse("import-confirm"), {"slip": _slip(answer.content.decode())})
    assert list(Part.objects.values_list("name", "quantity")) == [("Horn", 2)]


def test_a_car_is_started_from_a_file(as_manager: Client, workshop: Any, area: Area) -> None:
    answer = as_manager.post(
        reverse("car-start-file"),
        {"name": "Gannet", "description": "1968 saloon", "new_customer": "Ada Wren", "job_list": _file(LIST)},
    )
    assert (Car.objects.count(), Customer.objects.count()) == (0, 0)
    as_manager.post(reverse("import-confirm"), {"slip": _slip(answer.content.decode())})
    gannet = Car.objects.get()
    assert (gannet.name, gannet.description, str(gannet.customer)) == ("Gannet", "1968 saloon", "Ada Wren")
    assert gannet.jobs.count() == 2


def test_a_name_taken_meanwhile_stops_the_start(as_manager: Client, workshop: Any, area: Area) -> None:
    answer = as_manager.post(reverse("car-start-file"), {"name": "Gannet", "job_list": _file(LIST)})
    Car.objects.create(name="gannet")
    after = as_manager.post(reverse("import-confirm"), {"slip": _slip(answer.content.decode())}, follow=True)
    assert "nothing was added. Start afresh" in after.content.decode()
    assert (Car.objects.count(), Job.objects.count()) == (1, 0)


def test_what_changed_meanwhile_is_looked_at_again(as_manager: Client, tern: Car, area: Area) -> None:
    slip = _slip(_look(as_manager, tern, LIST))
    area.name = "fuel"
    area.save()
    page = as_manager.post(reverse("import-confirm"), {"slip": slip}).content.decode()
    assert "Something has changed since you looked: nothing was added." in page
    assert "there is no area “cooling” here" in page
    assert not Job.objects.exists()


def test_a_car_gone_meanwhile_is_told(as_manager: Client, tern: Car, area: Area) -> None:
    slip = _slip(_look(as_manager, tern, LIST))
    tern.delete()
    answer = as_manager.post(reverse("import-confirm"), {"slip": slip}, follow=True)
    assert "The car is not as it was when you looked" in answer.content.decode()


@pytest.mark.parametrize("slip", ["", "nonsense", "eyJ9:1abc:xyz"])
def test_a_slip_that_is_not_ours_is_refused(as_manager: Client, tern: Car, slip: str) -> None:
    answer = as_manager.post(reverse("import-confirm"), {"slip": slip}, follow=True)
    assert "Nothing was changed" in answer.content.decode()
    assert not Job.objects.exists()


def test_a_changed_slip_is_refused(as_manager: Client, tern: Car, area: Area) -> None:
    slip = _slip(_look(as_manager, tern, LIST))
    changed = ("B" if slip[1] != "B" else "C").join((slip[:1], slip[2:]))
    as_manager.post(reverse("import-confirm"), {"slip": changed})
    assert not Job.objects.exists()


def test_the_slip_of_somebody_else_is_refused(as_manager: Client, tern: Car, area: Area) -> None:
    slip = _slip(_look(as_manager, tern, LIST))
    other = Client()
    other.force_login(Person.objects.create_person(name="Second Manager", secret="x" * 12, role="manager"))
    answer = other.post(reverse("import-confirm"), {"slip": slip}, follow=True)
    assert "These lists were sent by somebody else" in answer.content.decode()
    assert not Job.objects.exists()


def test_files_that_nobody_confirmed_are_thrown_away(
    as_manager: Client, tern: Car, area: Area, settings: Any
) -> None:
    _look(as_manager, tern, LIST)
    [first] = _kept(settings)
    half_a_day_ago = (timezone.now() - timedelta(hours=13)).timestamp()
    os.utime(first, (half_a_day_ago, half_a_day_ago))
    _look(as_manager, tern, LIST)
    assert first not in _kept(settings)
    assert len(_kept(settings)) == 1


REFUSED = [
    ({}, "This field is required"),
    ({"job_list": b""}, "The file is empty"),
    ({"job_list": b"\x89PNG\r\n\x1a\n\0\0\0"}, "does not look like a list"),
    ({"job_list": b"x,y\n1,2\n"}, "No row with the headings “area” and “title” was found"),
    ({"job_list": b"x" * 10_000_000}, "The file is larger than 5 MB"),
]


@pytest.mark.parametrize(("sent", "words"), REFUSED, ids=[words for _, words in REFUSED])
def test_what_is_no_list_is_refused_on_the_page(
    as_manager: Client, tern: Car, sent: dict[str, bytes], words: str
) -> None:
    data = {name: _file(content) for name, content in sent.items()}
    for address in (reverse("import-jobs", args=[tern.pk]), reverse("car-start-file")):
        answer = as_manager.post(address, {"name": "Gannet", **data})
        assert (answer.status_code, words in answer.content.decode()) == (200, True)
        for file in data.values():
            file.seek(0)
    assert (Car.objects.count(), Job.objects.count()) == (1, 0)


def test_the_columns_are_said_on_the_page(as_manager: Client, tern: Car) -> None:
    page = as_manager.get(reverse("import-jobs", args=[tern.pk])).content.decode()
    for column in (*JOB_COLUMNS, *PART_COLUMNS):
        assert f'<th scope="row">{column.heading}' in page


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_the_examples_can_be_read(as_manager: Client, tern: Car, ending: str) -> None:
    files = {}
    for kind, name in (("jobs", "job_list"), ("parts", "parts_list")):
        answer = as_manager.get(reverse("import-example", args=[kind, ending]))
        assert answer["Content-Disposition"].startswith("attachment")
        files[name] = _file(answer.getvalue(), f"{kind}.{ending}")
    address = reverse("import-jobs", args=[tern.pk])
    page = as_manager.post(address, {"add_names": "on", **files}).content.decode()
    as_manager.post(reverse("import-confirm"), {"slip": _slip(page)})
    assert (tern.jobs.count(), Part.objects.count(), tern.milestones.count()) == (3, 2, 1)


def test_there_are_no_other_examples(as_manager: Client) -> None:
    assert as_manager.get(reverse("import-example", args=["cars", "csv"])).status_code == 404
    assert as_manager.get(reverse("import-example", args=["jobs", "exe"])).status_code == 404


def test_a_page_of_a_long_list_stays_short(as_manager: Client, tern: Car, area: Area) -> None:
    rows = "".join(f"cooling,Job {n},1\n" for n in range(5000))
    page = _look(as_manager, tern, "area,title,hours\n" + rows)
    assert "Only the first 200 are shown" in page
    assert len(page) < 200_000


def test_a_fitter_may_not(as_fitter: Client, tern: Car, area: Area) -> None:
    for name in ("import-jobs", "import-parts"):
        address = reverse(name, args=[tern.pk])
        assert as_fitter.get(address).status_code == 403
        assert as_fitter.post(address, {"job_list": _file(LIST)}).status_code == 403
    assert as_fitter.post(reverse("import-confirm"), {"slip": "x"}).status_code == 403
    assert as_fitter.get(reverse("import-example", args=["jobs", "csv"])).status_code == 403

"""Where a form asks to go afterwards: pages of this server and nothing else."""

from typing import Any

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse

from builds.addresses import LONGEST, own_address

ELSEWHERE = [
    "https://elsewhere.example/",
    "//elsewhere.example/",
    "/\\elsewhere.example/",
    "\\\\elsewhere.example",
    "javascript:alert(1)",
    "\x00/",
    " /cars/",
    "NaN",  # a bare word: a redirect would look for a view of that name
    "",
    "/" + "x" * LONGEST,
]


@pytest.mark.parametrize("wanted", ["/", "/today/?person=3", "/finishing/batches/new/?operation=1"])
def test_a_path_on_this_server_is_one(wanted: str) -> None:
    assert own_address(RequestFactory().get("/"), wanted) == wanted


@pytest.mark.parametrize("wanted", ELSEWHERE)
def test_anything_else_is_none(wanted: str) -> None:
    assert own_address(RequestFactory().get("/"), wanted) == ""


@pytest.mark.parametrize("wanted", ELSEWHERE)
def test_a_press_that_names_such_an_address_still_leads_to_a_page(
    as_fitter: Client, tern: Any, make_job: Any, wanted: str
) -> None:
    job = make_job(tern, "fit radiator")
    started = as_fitter.post(reverse("job-start", args=[job.pk]), {"next": wanted})
    ground = as_fitter.post(reverse("ground"), {"ground": "night", "next": wanted})
    assert (started.url, ground.url) == (job.get_absolute_url(), "/")

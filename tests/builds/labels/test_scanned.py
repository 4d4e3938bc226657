"""The page that a label opens: what can be done now, and labels that are not ours."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from parts.models import Operation
from parts.services.operations import operation_accept, operation_count_in, operation_send
from tests.conftest import FITTER_PIN


@pytest.fixture
def clips(tern: Any, make_part: Any, plater: Any, welder: Any) -> Any:
    return make_part(tern, "clip", quantity=10, route=[("fabricate", welder, 4), ("zinc_plate", plater, 5)])


@pytest.fixture
def welder(db: None) -> Any:
    from parts.models import Supplier

    return Supplier.objects.create(name="Quayside Fabrication")


def label(workshop: Any, part: Any) -> str:
    return reverse("label", args=[workshop.code, part.code])


def shown(client: Client, workshop: Any, part: Any) -> str:
    answer = client.get(label(workshop, part))
    assert answer.status_code == 200
    return answer.content.decode()


def test_it_shows_what_can_be_done_now_through_the_whole_way(
    clips: Any, workshop: Any, as_fitter: Client, fitter: Any
) -> None:
    today = timezone.localdate()
    first, second = clips.operations.all()
    assert reverse("goods-out", args=[first.pk]) in shown(as_fitter, workshop, clips)
    operation_send(operation=first, on=today, by=fitter)
    page = shown(as_fitter, workshop, clips)
    assert "Accept all 10" in page
    assert f'action="{reverse("goods-in", args=[first.pk])}"' in page
    operation_count_in(operation=first, on=today, by=fitter, accepted=8)
    assert "Accept all 2" in shown(as_fitter, workshop, clips)
    operation_accept(operation=first, on=today, by=fitter)
    assert reverse("goods-out", args=[second.pk]) in shown(as_fitter, workshop, clips)
    operation_send(operation=second, on=today, by=fitter)
    operation_accept(operation=second, on=today, by=fitter)
    assert "Nothing: its route card is done." in shown(as_fitter, workshop, clips)


def test_goods_in_from_the_label_comes_back_to_the_label(
    clips: Any, workshop: Any, as_fitter: Client, fitter: Any
) -> None:
    today = timezone.localdate()
    first = clips.operations.first()
    operation_send(operation=first, on=today, by=fitter)
    data = {"on": today, "verdict": "accept", "next": label(workshop, clips)}
    answer = as_fitter.post(reverse("goods-in", args=[first.pk]), data)
    assert answer.url == label(workshop, clips)
    assert Operation.objects.get(pk=first.pk).state == "accepted"


def test_lost_pieces_are_for_a_manager_to_decide(
    clips: Any, workshop: Any, as_fitter: Client, as_manager: Client, fitter: Any
) -> None:
    today = timezone.localdate()
    first = clips.operations.first()
    operation_send(operation=first, on=today, by=fitter)
    operation_count_in(operation=first, on=today, by=fitter, accepted=8, lost=2, reason="gone")
    assert "A manager says what is done about the lost ones" in shown(as_fitter, workshop, clips)
    assert reverse("pieces-missing", args=[first.pk]) in shown(as_manager, workshop, clips)


def test_a_label_of_another_workshop_is_refused_in_words(
    clips: Any, workshop: Any, as_fitter: Client
) -> None:
    answer = as_fitter.get(reverse("label", args=["0badc0de", clips.code]))
    assert answer.status_code == 404
    assert "This label is from another workshop." in answer.content.decode()


@pytest.mark.parametrize("code", ["ZZZZZZZZ", "x", "nothing%20here", "a%00b", "é" * 40])
def test_a_label_of_nothing_here_says_so(code: str, workshop: Any, as_fitter: Client) -> None:
    answer = as_fitter.get(f"/label/{workshop.code}/{code}/")
    assert answer.status_code == 404
    assert "No part here has this label." in answer.content.decode()


def test_letters_may_be_typed_small(clips: Any, workshop: Any, as_fitter: Client) -> None:
    assert as_fitter.get(f"/label/{workshop.code.upper()}/{clips.code.lower()}/").status_code == 200


def test_somebody_signed_out_signs_in_and_goes_on(
    clips: Any, workshop: Any, client: Client, fitter: Any
) -> None:
    answer = client.get(label(workshop, clips))
    assert answer.status_code == 302
    assert label(workshop, clips) in answer.url
    people = client.get(answer.url).content.decode()
    assert fitter.name in people
    pin = reverse("sign-in-pin", args=[fitter.pk])
    signed_in = client.post(pin, {"secret": FITTER_PIN, "pin": FITTER_PIN, "next": label(workshop, clips)})
    assert signed_in.status_code == 302
    assert signed_in.url == label(workshop, clips)

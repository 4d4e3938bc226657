"""Two people at the same moment: the second is told in words, whatever the database says."""

from typing import Any

import pytest
from django.db import IntegrityError
from django.test import Client
from django.urls import reverse

from builds.models import Area, Skill
from builds.services import settings as services


@pytest.fixture
def skill(db: None) -> Any:
    return Skill.objects.create(name="a skill of this test")


@pytest.mark.parametrize("refusal", [IntegrityError("UNIQUE constraint failed"), Skill.DoesNotExist()])
def test_the_second_of_two_is_told_in_words(
    as_manager: Client, skill: Any, monkeypatch: pytest.MonkeyPatch, refusal: Exception
) -> None:
    def refuse(**_: Any) -> None:
        raise refusal

    monkeypatch.setattr(services, "skill_delete", refuse)

    answer = as_manager.post(reverse("skill-delete", args=[skill.pk]))

    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Somebody else was quicker" in page
    assert "UNIQUE" not in page


def test_a_fault_that_nobody_else_caused_stays_a_fault(
    manager: Any, skill: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(**_: Any) -> None:
        raise RuntimeError("a fault made on purpose")

    client = Client(raise_request_exception=False)
    client.force_login(manager)
    monkeypatch.setattr(services, "skill_delete", fail)

    assert client.post(reverse("skill-delete", args=[skill.pk])).status_code == 500


def test_an_area_removed_while_it_is_moved_is_told_in_words(
    as_manager: Client, area: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    from builds.views import settings as views

    def look_then_be_overtaken(*_: Any, **__: Any) -> None:
        Area.objects.filter(pk=area.pk).delete()

    monkeypatch.setattr(views, "get_object_or_404", look_then_be_overtaken)

    assert as_manager.post(reverse("area-move", args=[area.pk]), {"to": "up"}).status_code == 409

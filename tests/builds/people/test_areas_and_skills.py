"""Areas and skills: added, renamed, put in order, removed while nothing uses them."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from builds.models import Area, Skill

KINDS = [("area", Area), ("skill", Skill)]


@pytest.fixture(autouse=True)
def _begin_empty(db: None) -> None:
    """Whatever the reference data may bring."""
    Area.objects.all().delete()
    Skill.objects.all().delete()


def names(model: Any) -> list[str]:
    return [row.name for row in model.objects.all()]


def said(client: Client, answer: Any) -> str:
    """The messages on the page that the answer leads to."""
    return client.get(answer.url.partition("#")[0]).content.decode().replace("&#x27;", "'")


@pytest.mark.parametrize(("kind", "model"), KINDS)
def test_one_is_added(as_manager: Client, kind: str, model: Any) -> None:
    answer = as_manager.post(reverse(f"{kind}-new"), {f"{kind}-name": "  cooling   system "})
    assert answer.url == f"/settings/#{kind}s"
    assert names(model) == ["cooling system"]


@pytest.mark.parametrize(("kind", "model"), KINDS)
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("", "This field is required"),
        ("x" * 41, "at most 40 characters"),
        ("COOLING", "of that name already"),
        ("Öl\x00", "Null characters"),
    ],
)
def test_a_refused_one_is_not_added(as_manager: Client, kind: str, model: Any, name: str, words: str) -> None:
    model.objects.create(name="cooling")
    answer = as_manager.post(reverse(f"{kind}-new"), {f"{kind}-name": name})
    assert answer.status_code == 200
    assert words in answer.content.decode()
    assert names(model) == ["cooling"]


@pytest.mark.parametrize(("kind", "model"), KINDS)
def test_one_is_renamed(as_manager: Client, kind: str, model: Any) -> None:
    row = model.objects.create(name="cooling")
    as_manager.post(reverse(f"{kind}-edit", args=[row.pk]), {"was": "cooling", "name": "Cooling and heating"})
    assert names(model) == ["Cooling and heating"]


@pytest.mark.parametrize(("kind", "model"), KINDS)
@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"was": "cooling", "name": ""}, "Name: This field is required."),
        ({"was": "cooling", "name": "Fuel"}, "of that name already"),
        ({"was": "cooling", "name": "x" * 41}, "at most 40 characters"),
        (
            {"was": "heating", "name": "warming"},
            "Somebody else has renamed “heating” to “cooling” meanwhile.",
        ),
    ],
)
def test_a_refused_name_changes_nothing(
    as_manager: Client, kind: str, model: Any, given: dict[str, str], words: str
) -> None:
    row = model.objects.create(name="cooling")
    model.objects.create(name="fuel")
    answer = as_manager.post(reverse(f"{kind}-edit", args=[row.pk]), given)
    assert words in said(as_manager, answer)
    assert sorted(names(model)) == ["cooling", "fuel"]


@pytest.mark.parametrize(("kind", "model"), KINDS)
def test_one_that_nothing_uses_is_removed(as_manager: Client, kind: str, model: Any) -> None:
    row = model.objects.create(name="cooling")
    as_manager.post(reverse(f"{kind}-delete", args=[row.pk]))
    assert names(model) == []
    assert as_manager.post(reverse(f"{kind}-delete", args=[row.pk])).status_code == 404


def test_an_area_with_a_job_stays(as_manager: Client, tern: Any, make_job: Callable[..., Any]) -> None:
    area = Area.objects.create(name="fuel")
    make_job(tern, "Flare the fuel lines", area=area)
    answer = as_manager.post(reverse("area-delete", args=[area.pk]))
    assert "“fuel” has 1 job, so it stays." in said(as_manager, answer)
    assert "fuel" in names(Area)


@pytest.mark.parametrize("used_by", ["a job", "a person"])
def test_a_skill_in_use_stays(
    as_manager: Client, fitter: Any, tern: Any, make_job: Callable[..., Any], used_by: str
) -> None:
    skill = Skill.objects.create(name="welding")
    if used_by == "a job":
        make_job(tern, "Weld the bracket", skill=skill)
    else:
        fitter.skills.add(skill)
    answer = as_manager.post(reverse("skill-delete", args=[skill.pk]))
    assert "so it stays" in said(as_manager, answer)
    assert names(Skill) == ["welding"]


@pytest.mark.parametrize(
    ("moved", "to", "order"),
    [
        ("oil", "up", ["oil", "fuel", "brakes"]),
        ("oil", "down", ["fuel", "brakes", "oil"]),
        ("fuel", "up", ["fuel", "oil", "brakes"]),
        ("brakes", "down", ["fuel", "oil", "brakes"]),
    ],
)
def test_areas_are_put_in_order(as_manager: Client, moved: str, to: str, order: list[str]) -> None:
    for name in ("fuel", "oil"):
        as_manager.post(reverse("area-new"), {"area-name": name})
    Area.objects.create(name="brakes", order=7)  # gaps do not matter
    area = Area.objects.get(name=moved)
    as_manager.post(reverse("area-move", args=[area.pk]), {"to": to})
    assert names(Area) == order


def test_areas_of_equal_order_can_be_moved(as_manager: Client) -> None:
    for name in ("a", "b", "c"):
        Area.objects.create(name=name, order=0)
    as_manager.post(reverse("area-move", args=[Area.objects.get(name="c").pk]), {"to": "up"})
    assert names(Area) == ["a", "c", "b"]


def test_html_in_a_name_is_shown_as_typed(as_manager: Client) -> None:
    Area.objects.create(name='"><i>fuel</i>')
    Skill.objects.create(name='"><i>tin</i>')
    page = as_manager.get("/settings/").content.decode()
    assert "<i>" not in page
    assert "&quot;&gt;&lt;i&gt;fuel&lt;/i&gt;" in page

"""The list of people and the sheet of one: what managers see, what fitters see."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from builds.models import Absence, Person, Skill, TimeSpent
from builds.sheets import roll as roll

MONDAY = date(2027, 1, 11)
WEDNESDAY_3PM = datetime(2027, 1, 13, 15, 0, tzinfo=UTC)  # London time is UTC in January


def page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_list_says_who_is_here_and_who_is_away(manager: Any, fitter: Any, other_fitter: Any) -> None:
    Absence.objects.create(person=fitter, first_day=MONDAY, last_day=MONDAY + timedelta(2), reason="flu")
    Absence.objects.create(person=other_fitter, first_day=date(2027, 2, 1), last_day=date(2027, 2, 5))
    lines = {line.person.name: line for line in roll.read_roll(MONDAY + timedelta(2))}
    assert {name: (line.away_until, line.next_away) for name, line in lines.items()} == {
        "Ines Brandt": (None, date(2027, 2, 1)),
        "Maud Ellery": (None, None),
        "Rafe Holloway": (date(2027, 1, 13), None),
    }
    assert lines["Maud Ellery"].hours_a_week == Decimal(40)


def test_an_absence_gone_by_is_not_shown(fitter: Any) -> None:
    Absence.objects.create(person=fitter, first_day=MONDAY, last_day=MONDAY)
    (line,) = roll.read_roll(MONDAY + timedelta(1))
    assert (line.away_until, line.next_away) == (None, None)


def test_the_list_counts_jobs_in_hand(fitter: Any, tern: Any, make_job: Callable[..., Any]) -> None:
    make_job(tern, "Fit the radiator", started_at=WEDNESDAY_3PM, started_by=fitter)
    make_job(
        tern,
        "Bleed the brakes",
        started_at=WEDNESDAY_3PM,
        started_by=fitter,
        done_at=WEDNESDAY_3PM,
        done_by=fitter,
    )
    (line,) = roll.read_roll(MONDAY)
    assert line.in_hand == 1


def test_the_list_takes_four_queries_however_many_people(
    db: None, django_assert_num_queries: Callable[..., Any]
) -> None:
    for number in range(2):
        Person.objects.create_person(name=f"Person {number}", secret="4821")
    with django_assert_num_queries(4):  # people, their skills, their absences, jobs in hand
        assert len(roll.read_roll(MONDAY)) == 2
    for number in range(2, 20):
        Person.objects.create_person(name=f"Person {number}", secret="4821")
    with django_assert_num_queries(4):
        assert len(roll.read_roll(MONDAY)) == 20


def test_time_of_this_week_is_summed_by_job_with_the_running_clock(
    fitter: Any, other_fitter: Any, tern: Any, make_job: Callable[..., Any]
) -> None:
    radiator, brakes = make_job(tern, "Fit the radiator"), make_job(tern, "Bleed the brakes")
    monday = datetime(2027, 1, 11, 0, 0, tzinfo=UTC)

    def spent(job: Any, at: datetime, minutes: int | None, who: Any = fitter) -> None:
        TimeSpent.objects.create(job=job, person=who, started_at=at, minutes=minutes)

    spent(radiator, monday, 90)
    spent(radiator, monday + timedelta(days=1), 30)
    spent(brakes, WEDNESDAY_3PM - timedelta(minutes=45), None)
    spent(brakes, monday - timedelta(minutes=1), 60)  # last week
    spent(brakes, monday, 60, other_fitter)
    sheet = roll.read_person(fitter, now=WEDNESDAY_3PM)
    assert [(line.job.title, line.hours, line.is_running) for line in sheet.times] == [
        ("Fit the radiator", Decimal(2), False),
        ("Bleed the brakes", Decimal("0.75"), True),
    ]
    assert sheet.hours_this_week == Decimal("2.75")
    assert sheet.week_begins == MONDAY


def test_a_manager_sees_the_whole_sheet(
    as_manager: Client, fitter: Any, tern: Any, make_job: Callable[..., Any]
) -> None:
    fitter.skills.add(Skill.objects.create(name="lead loading"))
    job = make_job(tern, "Fit the radiator", started_at=timezone.now(), started_by=fitter)
    TimeSpent.objects.create(job=job, person=fitter, started_at=timezone.now(), minutes=90)
    today = timezone.localdate()
    Absence.objects.create(person=fitter, first_day=today, last_day=today, reason="back trouble")
    shown = page(as_manager, reverse("person", args=[fitter.pk]))
    for words in ("lead loading", "Fit the radiator", "back trouble", "Hours, 40 a week", "1.5"):
        assert words in shown


def test_a_fitter_sees_of_another_only_what_is_not_private(
    as_fitter: Client, other_fitter: Any, tern: Any, make_job: Callable[..., Any]
) -> None:
    other_fitter.skills.add(Skill.objects.create(name="lead loading"))
    make_job(tern, "Fit the radiator", started_at=timezone.now(), started_by=other_fitter)
    today = timezone.localdate()
    Absence.objects.create(person=other_fitter, first_day=today, last_day=today, reason="back trouble")
    for address in (reverse("people"), reverse("person", args=[other_fitter.pk])):
        shown = page(as_fitter, address)
        assert "lead loading" in shown
        assert "away until" in shown
        for private in ("back trouble", "a week", "Time spent", "person-edit", "/edit/", "Enter somebody"):
            assert private not in shown
    assert "Fit the radiator" in page(as_fitter, reverse("person", args=[other_fitter.pk]))


def test_a_fitter_sees_the_whole_of_his_own_sheet_and_can_change_nothing(
    as_fitter: Client, fitter: Any
) -> None:
    today = timezone.localdate()
    Absence.objects.create(person=fitter, first_day=today, last_day=today, reason="holiday")
    shown = page(as_fitter, reverse("person", args=[fitter.pk]))
    assert "holiday" in shown
    assert "Hours, 40 a week" in shown
    assert "Remove" not in shown
    assert "Record an absence" not in shown


def test_somebody_who_left_stands_apart_with_what_is_still_in_hand(
    as_manager: Client, fitter: Any, tern: Any, make_job: Callable[..., Any]
) -> None:
    make_job(tern, "Fit the radiator", started_at=timezone.now(), started_by=fitter)
    fitter.is_active = False
    fitter.save()
    assert "still has 1 in hand" in page(as_manager, reverse("people"))
    assert "somebody else has to take these on" in page(as_manager, reverse("person", args=[fitter.pk]))


def test_html_in_names_skills_and_reasons_is_shown_as_typed(as_manager: Client, fitter: Any) -> None:
    fitter.name = "<i>Rafe</i>"
    fitter.save()
    fitter.skills.add(Skill.objects.create(name="<i>tin</i>"))
    today = timezone.localdate()
    Absence.objects.create(person=fitter, first_day=today, last_day=today, reason="<i>ill</i>")
    for address in (
        reverse("people"),
        reverse("person", args=[fitter.pk]),
        reverse("person-edit", args=[fitter.pk]),
    ):
        shown = page(as_manager, address)
        assert "<i>" not in shown
        assert "&lt;i&gt;Rafe&lt;/i&gt;" in shown


@pytest.mark.parametrize("person_id", [987654, 10**30])
def test_a_person_who_is_not_there(as_manager: Client, person_id: int) -> None:
    assert as_manager.get(f"/people/{person_id}/").status_code == 404
    assert as_manager.post(f"/people/{person_id}/edit/", {}).status_code == 404


def test_the_more_page_shows_what_one_may_open(as_manager: Client, as_fitter: Client, fitter: Any) -> None:
    for_manager, for_fitter = page(as_manager, reverse("more")), page(as_fitter, reverse("more"))
    managers_only = [reverse(name) for name in ("workshop-settings", "car-start", "export")]
    assert all(f'href="{address}"' in for_manager for address in managers_only)
    assert not any(f'href="{address}"' in for_fitter for address in managers_only)
    for shown in (for_manager, for_fitter):
        assert f'href="{reverse("people")}"' in shown
        assert f'href="{reverse("suppliers")}"' in shown
    assert f'href="{reverse("person", args=[fitter.pk])}"' in for_fitter


@pytest.mark.parametrize(
    ("first", "last", "here", "said"),
    [(None, None, True, ""), (3, None, False, "from "), (-9, -1, False, "until "), (-9, 9, True, "until ")],
    ids=["always", "begins later", "has left", "for some time"],
)
def test_the_sheet_says_from_when_until_when_somebody_is_here(
    as_manager: Client, fitter: Any, first: int | None, last: int | None, here: bool, said: str
) -> None:
    today = timezone.localdate()
    fitter.here_from = today + timedelta(first) if first else None
    fitter.here_until = today + timedelta(last) if last else None
    fitter.save()
    assert roll.read_person(fitter, now=timezone.localtime()).is_here is here
    block = page(as_manager, reverse("person", args=[fitter.pk])).partition("</header>")[0]
    assert ("not here" not in block) is here
    assert said in block

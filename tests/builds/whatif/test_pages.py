"""The page What if, and keeping what was tried."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from builds.models import MilestonePromise, Person, Skill
from builds.network import unchanged
from parts.models import FinishingBatch, Operation, SupplierPromise

pytestmark = pytest.mark.django_db


@pytest.fixture
def today():
    return timezone.localdate()


@pytest.fixture
def monday(today):
    """A Monday some weeks ahead, which no public holiday of the country is on: the workshop has none."""
    return today + timedelta(days=28 - today.weekday())


@pytest.fixture(autouse=True)
def no_holidays(workshop):
    workshop.country = ""
    workshop.save()


@pytest.fixture
def welder(fitter):
    skill = Skill.objects.create(name="welder")
    fitter.skills.add(skill)
    return skill


@pytest.fixture
def milestone(tern, welder, make_job, first_start_up, today):
    job = make_job(tern, "weld seam", hours=16, skill=welder)
    return first_start_up(tern, job, promised=today + timedelta(days=30))


@pytest.fixture
def batch(tern, plater, process, make_part):
    plater.processes.add(process("zinc_plate"))
    found = FinishingBatch.objects.create(supplier=plater, process=process("zinc_plate"))
    for name in ("Hook", "Bracket"):
        make_part(tern, name, route=[("zinc_plate", plater, 5)])
    Operation.objects.update(batch=found)
    return found


def test_each_car_stands_beside_as_it_is(as_manager, milestone, welder, monday):
    page = as_manager.get("/what-if/", {"a": f"person:{welder.pk}:{monday}:14:8:Tilda"}).content.decode()

    assert "Tilda, welder, 8 hours a day" in page
    assert "With A" in page
    assert "the same day" in page
    assert page.count("even chance <b") == 2
    assert 'role="img" aria-label="Tern. Even chance as it is' in page


def test_three_questions_at_most_each_in_its_own_column(as_manager, milestone, fitter, monday):
    lines = {
        letter: f"overtime:{fitter.pk}:{monday}:{days}:2"
        for letter, days in zip("abcd", (1, 2, 3, 4), strict=True)
    }

    page = as_manager.get("/what-if/", lines).content.decode()

    assert ("With C" in page, "With D" in page) == (True, False)


def test_a_form_puts_a_line_into_the_address(as_manager, milestone, welder, monday):
    given = {
        "kind": "person",
        "skill": welder.pk,
        "first": monday,
        "days": 14,
        "hours": 8,
        "name": "",
        "to": "b",
    }

    answer = as_manager.get("/what-if/", {**given, "a": "pull:4"})

    assert answer.url == f"/what-if/?a=pull%3A4&b=person%3A{welder.pk}%3A{monday}%3A14%3A8%3A"


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"first": "2001-01-01"}, "That day is past"),
        ({"first": "9999-12-31"}, "cannot be right"),
        ({"days": "0"}, "greater than or equal to 1"),
        ({"hours": "40"}, "less than or equal to 16"),
        ({"skill": "999"}, "not one of the available choices"),
        ({"to": "z"}, "not one of the available choices"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(as_manager, milestone, welder, monday, wrong, words):
    given = {
        "kind": "person",
        "skill": welder.pk,
        "first": monday,
        "days": 14,
        "hours": 8,
        "name": "",
        "to": "a",
    }

    answer = as_manager.get("/what-if/", {**given, **wrong})

    assert answer.status_code == 200
    assert words in answer.content.decode()


def test_a_question_says_which_fixed_days_it_would_set_against_each_other(as_manager, milestone, monday):
    milestone.promises.update(promised_on=monday)
    saturday = monday + timedelta(days=5)

    page = as_manager.get(
        "/what-if/", {"a": f"promise:{milestone.pk}:{monday}", "b": f"promise:{milestone.pk}:{saturday}"}
    ).content.decode()

    assert page.count("on which the workshop is shut.") == 1
    assert page.index(">B</h3>") < page.index("on which the workshop is shut.")


def test_lines_that_say_nothing_are_left_out_and_told_without_their_address(as_manager, milestone):
    page = as_manager.get("/what-if/", {"a": ["nonsense", "pull:999"]}).content.decode()

    assert "2 changes of the questions are left out: what they speak of is not there any more" in page
    assert "“pull:999”" not in page
    assert "With A" not in page


def test_express_must_be_quicker_than_it_is_and_no_quicker_than_the_road(
    as_manager, milestone, tern, plater, make_part
):
    plater.carriage_days = 1
    plater.save()
    line = make_part(tern, "Hook", route=[("zinc_plate", plater, 5)]).operations.get()

    def page(days):
        given = {"kind": "express", "line": line.pk, "days": days, "to": "a"}
        return as_manager.get("/what-if/", given)

    assert "It takes 7 days as it is" in page(7).content.decode()
    assert "Carriage alone takes 2" in page(1).content.decode()
    assert page(4).url == f"/what-if/?a=express%3A{line.pk}%3A4"


def test_a_fitter_does_not_ask(as_fitter, milestone):
    assert as_fitter.get("/what-if/").status_code == 403
    assert as_fitter.post("/what-if/keep/", {"keep": "a", "a": "pull:1"}).status_code == 403


def test_an_empty_workshop_has_a_page(as_manager, workshop):
    assert "No car has a milestone ahead" in as_manager.get("/what-if/").content.decode()


def keep(client, *lines, **more):
    return client.post("/what-if/keep/", {"keep": "a", "a": lines, **more}, follow=True).content.decode()


def test_a_person_kept_is_entered_for_those_days(as_manager, milestone, welder, monday):
    page = keep(as_manager, f"person:{welder.pk}:{monday}:14:6:Tilda Marsh")

    person = Person.objects.get(name="Tilda Marsh")
    assert (person.here_from, person.here_until) == (monday, monday + timedelta(days=13))
    assert (person.monday_hours, person.sunday_hours, person.role) == (6, 0, "fitter")
    assert list(person.skills.all()) == [welder]
    assert "give them a PIN" in page


def test_a_batch_kept_leaves_on_the_day(as_manager, milestone, batch, monday):
    keep(as_manager, f"batch:{batch.pk}:{monday}")

    batch.refresh_from_db()
    assert (batch.leaves, batch.planned_on) == ("fixed", monday)
    assert batch.operations.count() == 2


def test_a_part_kept_out_leaves_the_others_in_the_batch(as_manager, milestone, batch):
    hook = Operation.objects.get(part__name="Hook")

    keep(as_manager, f"pull:{hook.pk}")

    assert [line.part.name for line in batch.operations.all()] == ["Bracket"]


def test_express_kept_changes_the_lead_time(as_manager, milestone, tern, plater, make_part):
    line = make_part(tern, "Hook", route=[("zinc_plate", plater, 10)]).operations.get()
    Operation.objects.update(lead_low_days=5, lead_high_days=20)

    keep(as_manager, f"express:{line.pk}:4")

    line.refresh_from_db()
    assert (line.lead_low_days, line.lead_likely_days, line.lead_high_days) == (2, 4, 8)


def test_a_day_kept_is_the_suppliers_promise(as_manager, milestone, tern, plater, make_part, today, monday):
    line = make_part(tern, "Radiator", route=[("fabricate", plater, 10)]).operations.get()
    Operation.objects.update(sent_on=today)

    keep(as_manager, f"due:{line.pk}:{monday}")

    assert SupplierPromise.objects.get().promised_on == monday


def test_a_promise_kept_says_why_and_what_was_forecast(as_manager, milestone, monday):
    keep(as_manager, f"promise:{milestone.pk}:{monday}", reason="the owner agreed")

    kept = MilestonePromise.objects.order_by("pk").last()
    assert (kept.promised_on, kept.reason) == (monday, "the owner agreed")
    assert kept.four_in_five_on >= kept.even_chance_on


def test_overtime_kept_is_entered_and_gives_the_dates_that_were_tried(
    as_manager, milestone, fitter, welder, monday
):
    tried = as_manager.get("/what-if/", {"a": f"overtime:{fitter.pk}:{monday}:14:2"}).context["sheet"]

    page = keep(as_manager, f"overtime:{fitter.pk}:{monday}:14:2")

    kept = fitter.overtimes.get()
    assert (kept.first_day, kept.last_day, kept.hours) == (monday, monday + timedelta(days=13), 2)
    assert "works 2 hours a day longer" in page
    now = as_manager.get("/what-if/").context["sheet"]
    assert [car.cells[0].then for car in now.cars] == [car.cells[1].then for car in tried.cars]


def test_overtime_on_days_that_are_kept_already_is_refused(as_manager, milestone, fitter, monday):
    keep(as_manager, f"overtime:{fitter.pk}:{monday}:14:2")

    page = keep(as_manager, f"overtime:{fitter.pk}:{monday}:3:1")

    assert "works 2 h longer" in page
    assert fitter.overtimes.count() == 1


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("promise:{milestone}:{monday}", "Say why the promise moves"),
        ("overtime:999:{monday}:14:2", "no longer here"),
        ("overtime:{fitter}:{monday}:14:17", "cannot be read"),
        ("person:{welder}:{monday}:14:8:", "Somebody new needs a name"),
        ("person:{welder}:{monday}:14:8:Rafe Holloway", "There is a person of that name already"),
        ("batch:999:{monday}", "has gone or been dissolved"),
        ("pull:999", "no longer there"),
        ("nonsense", "cannot be read"),
    ],
)
def test_where_one_change_cannot_be_made_none_is(
    as_manager, milestone, batch, fitter, welder, monday, line, words
):
    names = {"milestone": milestone.pk, "fitter": fitter.pk, "welder": welder.pk, "monday": monday}

    page = keep(as_manager, f"batch:{batch.pk}:{monday}", line.format(**names))

    batch.refresh_from_db()
    assert "Nothing was kept." in page
    assert words in page
    assert (batch.leaves, batch.planned_on) == ("ready", None)


def test_what_is_kept_leaves_the_other_questions_alone(as_manager, milestone, batch, fitter, monday):
    answer = as_manager.post(
        "/what-if/keep/",
        {"keep": "a", "a": f"batch:{batch.pk}:{monday}", "b": f"overtime:{fitter.pk}:{monday}:14:2"},
    )

    assert answer.url == f"/what-if/?b=overtime%3A{fitter.pk}%3A{monday}%3A14%3A2"


def test_an_empty_question_keeps_nothing(as_manager, milestone):
    page = as_manager.post("/what-if/keep/", {"keep": "q"}, follow=True).content.decode()

    assert "that question is empty" in page


@pytest.mark.parametrize("jobs", [1, 12])
def test_the_number_of_queries_grows_with_questions_alone(
    jobs, as_manager, milestone, batch, tern, fitter, monday, make_job
):
    for number in range(jobs):
        make_job(tern, f"job {number}")
    of_people, of_rows = f"overtime:{fitter.pk}:{monday}:14:2", f"batch:{batch.pk}:{monday}"

    def queries(**asked):
        unchanged.forget()
        with CaptureQueriesContext(connection) as found:
            as_manager.get("/what-if/", asked)
        return len(found)

    none = queries()
    # session, person, the network's 19 and two of stamps, the plan's six, suppliers' records and promises,
    # who works here and their skills, skills twice, the workshop’s name
    assert none == 38
    assert queries(a=of_people) - none <= 2  # suppliers' records and their promises
    assert queries(a=of_rows) - none <= 8  # and those of another plan


def test_a_batch_cannot_be_tried_on_a_day_on_which_its_supplier_is_shut(as_manager, milestone, batch, monday):
    batch.operations.first().supplier.closures.create(first_day=monday, last_day=monday)
    given = {"kind": "batch", "batch": batch.pk, "on": monday, "to": "a"}

    page = as_manager.get("/what-if/", given).content.decode()

    assert "does not work on" in page
    assert "The next day it works is" in page

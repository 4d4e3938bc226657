"""What a fitter and a manager see on Today."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from builds.models import Away, Decision, Skill
from builds.services.jobs import job_done, job_sign_off, job_start


def groups(client, **params):
    """Headings of the page, each with the titles under it, in order."""
    page = client.get("/today/", params).content.decode()
    found = {}
    for section in re.findall(r"<section.*?</section>", page, re.S):
        heading = re.search(r"<(?:h2|summary)[^>]*>(.*?)</", section, re.S)
        if heading:
            titles = re.findall(r'<span class="t"><a[^>]*>(.*?)</a>', section, re.S)
            found[heading.group(1).strip()] = titles
    return found


def test_clear_jobs_are_shown_and_held_ones_are_not(tern, make_job, as_fitter):
    first = make_job(tern, "Trial fit radiator")
    make_job(tern, "Fit radiator", after=[first])
    assert groups(as_fitter) == {"Clear for you": ["Trial fit radiator"]}


def test_the_most_pressing_comes_first_and_is_marked(tern, skua, make_job, first_start_up, as_fitter):
    make_job(tern, "Clean bay")
    short, long = make_job(tern, "Route wires", hours=4), make_job(skua, "Bleed brakes", hours=80)
    tern_last = make_job(tern, "Prime and crank", after=[short, make_job(tern, "Fit sump", hours=40)])
    first_start_up(tern, tern_last)
    first_start_up(skua, long)
    page = as_fitter.get("/today/").content.decode()
    assert groups(as_fitter) == {"Clear for you": ["Bleed brakes", "Fit sump", "Route wires", "Clean bay"]}
    marked = re.findall(r'class="line sets".*?formaction="/jobs/(\d+)/done/"', page, re.S)
    assert len(marked) == 2
    assert str(long.pk) in marked
    assert "days to spare</span>" in page
    assert page.count("holds Tern’s first start-up</span>") == 1
    assert page.count("holds Skua’s first start-up</span>") == 1


def test_jobs_for_other_skills_are_folded(tern, make_job, fitter, as_fitter):
    weld, wire = Skill.objects.create(name="welding"), Skill.objects.create(name="wiring")
    fitter.skills.add(weld)
    make_job(tern, "Weld bracket", skill=weld)
    make_job(tern, "Crimp loom", skill=wire)
    make_job(tern, "Sweep bay")
    assert groups(as_fitter) == {
        "Clear for you": ["Weld bracket", "Sweep bay"],
        "Clear, other skills: 1": ["Crimp loom"],
    }


def test_a_job_in_hand_says_who_is_on_it(tern, make_job, fitter, other_fitter, as_fitter):
    mine, other = make_job(tern, "Route wires"), make_job(tern, "Fit sump")
    job_start(job=other, by=other_fitter, at=timezone.now())
    job_start(job=mine, by=fitter, at=timezone.now())
    assert groups(as_fitter) == {"In hand": ["Route wires", "Fit sump"]}
    page = as_fitter.get("/today/").content.decode()
    assert "Ines Brandt since" in page
    assert page.count("Stop clock") == 1


def test_a_job_in_hand_that_is_held_stays_and_says_why(tern, make_job, fitter, as_fitter):
    job = job_start(job=make_job(tern, "Fit sump"), by=fitter, at=timezone.now())
    Decision.objects.create(
        job=job,
        question="Thread stripped",
        owed_by="us",
        due_on=timezone.localdate(),
        raised_by=fitter,
        raised_at=timezone.now(),
    )
    page = as_fitter.get("/today/").content.decode()
    assert groups(as_fitter)["In hand"] == ["Fit sump"]
    assert "Thread stripped" in page
    assert f"/jobs/{job.pk}/done/" not in page


def test_a_car_that_is_away_has_no_jobs_on_it_and_is_named(tern, make_job, plater, fitter, as_fitter):
    on_car, _ = make_job(tern, "Fit sump"), make_job(tern, "Make ducts", place="bench")
    job_start(job=on_car, by=fitter, at=timezone.now())
    today = timezone.localdate()
    Away.objects.create(
        car=tern,
        supplier=plater,
        what_for="dipping",
        leaves_on=today - timedelta(1),
        due_back_on=today + timedelta(9),
    )
    page = as_fitter.get("/today/").content.decode()
    assert groups(as_fitter) == {"Clear for you": ["Make ducts"]}
    assert "Away now, so nothing on the car" in page
    assert "at Ferrand Plating, due back" in page


def test_a_second_signature_is_asked_of_another_person(
    tern, make_job, fitter, other_fitter, as_fitter, client
):
    job = make_job(tern, "Pressure test", needs_signature=True)
    job_done(job=job, by=fitter, at=timezone.now())
    assert groups(as_fitter)["Waiting for a second signature"] == ["Pressure test"]
    doer = as_fitter.get("/today/").content.decode()
    assert "You did it, so you cannot sign it" in doer
    assert f"/jobs/{job.pk}/sign-off/" not in doer
    client.force_login(other_fitter)
    other = client.get("/today/").content.decode()
    assert "done by Rafe Holloway" in other
    assert f"/jobs/{job.pk}/sign-off/" in other


def test_what_was_ticked_today_can_be_taken_back(tern, make_job, fitter, other_fitter, as_fitter):
    ticked = make_job(tern, "Fit sump")
    signed = make_job(tern, "Pressure test", needs_signature=True)
    earlier = make_job(tern, "Strip engine")
    job_done(job=earlier, by=fitter, at=timezone.now() - timedelta(days=3))
    for job in (ticked, signed):
        job_done(job=job, by=fitter, at=timezone.now())
    job_sign_off(job=signed, by=other_fitter, at=timezone.now())
    assert set(groups(as_fitter)["Ticked today"]) == {"Fit sump", "Pressure test"}


def test_cautions_are_named(tern, make_job, as_fitter):
    make_job(tern, "Weld bracket", cautions=["hot work", "fuel handling"])
    assert '<span class="mind">hot work, fuel handling</span>' in as_fitter.get("/today/").content.decode()


def test_a_manager_sees_who_is_on_what_and_picks_a_person(tern, make_job, fitter, other_fitter, as_manager):
    weld = Skill.objects.create(name="welding")
    job_start(job=make_job(tern, "Fit sump"), by=fitter, at=timezone.now())
    make_job(tern, "Weld bracket", skill=weld)
    page = as_manager.get("/today/").content.decode()
    assert "Fit sump (Tern)" in page
    assert groups(as_manager)["Clear"] == ["Weld bracket"]
    picked = groups(as_manager, person=other_fitter.pk)
    assert picked["Clear, other skills: 1"] == ["Weld bracket"]
    assert "Clear" not in picked


def test_a_fitter_sees_his_own_page_whatever_the_address_says(
    tern, make_job, fitter, other_fitter, as_fitter
):
    weld = Skill.objects.create(name="welding")
    fitter.skills.add(weld)
    make_job(tern, "Weld bracket", skill=weld)
    page = as_fitter.get("/today/", {"person": other_fitter.pk}).content.decode()
    assert groups(as_fitter, person=other_fitter.pk) == {"Clear for you": ["Weld bracket"]}
    assert "Who is on what" not in page


@pytest.mark.parametrize("person", ["x", "999999", "9" * 40, "-1", "²"])
def test_nobody_of_that_number_is_not_found(workshop, as_manager, person):
    assert as_manager.get("/today/", {"person": person}).status_code == 404


def test_an_empty_workshop_says_what_to_do(workshop, as_manager, as_fitter):
    assert "No car is in work yet" in as_fitter.get("/today/").content.decode()
    assert reverse("car-start") in as_manager.get("/today/").content.decode()


def test_nothing_clear_points_to_what_is_waited_for(tern, make_job, make_part, plater, as_fitter):
    part = make_part(tern, "radiator", route=[("fabricate", plater, 10)])
    make_job(tern, "Fit radiator", needs=[part])
    page = as_fitter.get("/today/").content.decode()
    assert "every open job waits for something" in page
    assert page.count(f'href="{reverse("waiting")}"') == 2  # the tab and the button


def test_words_from_people_are_shown_as_text(tern, make_job, fitter, as_fitter):
    evil = "<script>alert(1)</script>"
    tern.name = evil
    tern.save()
    job = make_job(tern, evil, cautions=["hot work"])
    job_start(job=job, by=fitter, at=timezone.now())
    page = as_fitter.get("/today/").content.decode()
    assert evil not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_two_jobs_and_twenty_take_the_same_queries(
    tern, make_job, fitter, other_fitter, as_fitter, django_assert_num_queries
):
    """19 of the network, two of stamps; jobs, clocks, cars away, skills, people; plan; session and names."""

    def add(count, start):
        for number in range(start, start + count):
            job = make_job(tern, f"Job {number}", needs_signature=number % 2 == 0)
            if number % 3 == 1:
                job_start(job=job, by=fitter, at=timezone.now())
            if number % 4 == 0:
                job_done(job=job, by=other_fitter, at=timezone.now())

    add(2, 0)
    as_fitter.get("/today/")
    with django_assert_num_queries(30):
        as_fitter.get("/today/")
    add(18, 2)
    with django_assert_num_queries(30):
        page = as_fitter.get("/today/")
    assert page.content.count(b'class="line') == 20


def test_a_large_workshop_stays_under_200_kb_and_says_what_is_left_out(tern, skua, make_job, as_fitter):
    for car in (tern, skua):
        for number in range(75):
            make_job(car, f"Make and fit bracket number {number} behind the dashboard", cautions=["hot work"])
    answer = as_fitter.get("/today/")
    assert len(answer.content) < 200_000
    assert "… and 90 more" in answer.content.decode()

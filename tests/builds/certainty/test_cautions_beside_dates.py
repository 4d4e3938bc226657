"""Where dates with the people there are stand, it stands too what they leave out and what cannot be kept."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.utils import timezone
from pypdf import PdfReader

from builds.models import Milestone, MilestonePromise, Skill

PAGES = {
    "certainty": "/cars/{}/certainty/",
    "what if": "/what-if/",
    "the printed week": "/week/print/",
    "the printed job list": "/cars/{}/job-list/",
}
UNMANNED = (
    "“Wire the car” (Tern) needs 1 with the skill electrician, and there is nobody. It is planned as if "
    "somebody were free for it; so is 1 more job that asks for the same."
)


@pytest.fixture
def electrician(other_fitter, fitter):
    """The only one; another person is here for all else."""
    other_fitter.skills.add(Skill.objects.create(name="electrician"))
    return other_fitter


@pytest.fixture
def milestone(workshop, tern, electrician, make_job, first_start_up):
    workshop.country = ""  # without public holidays
    workshop.save()
    skill = electrician.skills.get()
    jobs = [make_job(tern, title, skill=skill) for title in ("Wire the car", "Wire the pump")]
    return first_start_up(tern, *jobs, make_job(tern, "Bleed the clutch"))


@pytest.fixture(params=PAGES)
def said(request, as_manager, tern, milestone):
    """What a page says now, in one line of text."""

    def read():
        answer = as_manager.get(PAGES[request.param].format(tern.pk))
        assert answer.status_code == 200
        if answer.headers["Content-Type"] != "application/pdf":
            return " ".join(answer.content.decode().split())
        pages = PdfReader(BytesIO(answer.content)).pages
        return " ".join(" ".join(page.extract_text() for page in pages).split())

    return read


def test_jobs_that_nobody_can_do_are_told_where_the_dates_stand(said, electrician):
    assert "as if somebody were free" not in said()

    electrician.is_active = False
    electrician.save()

    assert said().count(UNMANNED) == 1


def test_promises_against_the_order_of_milestones_are_told_where_the_dates_stand(
    said, tern, milestone, manager
):
    monday = timezone.localdate() + timedelta(days=84 - timezone.localdate().weekday())
    handover = Milestone.objects.create(car=tern, kind="handover", name="handover")
    handover.jobs.set(milestone.jobs.all())
    given = {"given_on": timezone.localdate(), "reason": "first agreed", "by": manager}
    MilestonePromise.objects.create(milestone=milestone, promised_on=monday, **given)
    assert "move one of the two promises" not in said()

    MilestonePromise.objects.create(milestone=handover, promised_on=monday - timedelta(days=7), **given)

    assert said().count("move one of the two promises") == 1


@pytest.mark.parametrize("path", ["/", "/cars/{}/"])
def test_pages_that_fetch_their_dates_take_what_they_leave_out_with_them(
    path, as_manager, tern, milestone, electrician
):
    electrician.is_active = False
    electrician.save()

    def cautions(page):
        return page.partition('<div id="cautions">')[2].partition("</div>")[0]

    at_first, dated = (
        as_manager.get(path.format(tern.pk), asked).content.decode() for asked in ({}, {"people": 1})
    )

    assert "#cautions" in at_first.partition('hx-select-oob="')[2].partition('"')[0]
    assert '<div id="cautions">' in at_first
    assert UNMANNED in cautions(dated)

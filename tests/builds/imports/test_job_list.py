"""A job list from a file: what is added, and every refusal with its row and column."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from builds.models import Area, Car, Job, JobLink, Need, Skill
from parts.models import Supplier

LIST = """key,area,title,hours low,hours likely,hours high,people,after,note
drain,cooling,Drain the system,"0,5","1 h",2:30,1,,
rad,cooling,Fit the radiator,4,6,10,2,drain + 2 h,Mind the fins
"""


def faults(plan: Any) -> list[str]:
    return [str(fault) for fault in plan.faults]


def test_a_list_becomes_jobs_with_their_links(tern: Car, area: Area, add: Callable[..., Any]) -> None:
    add(tern, jobs=LIST)
    jobs = tern.jobs.order_by("position").values_list(
        "key", "title", "hours_low", "hours_likely", "hours_high", "people", "note"
    )
    assert list(jobs) == [
        ("drain", "Drain the system", Decimal("0.5"), Decimal(1), Decimal("2.5"), 1, ""),
        ("rad", "Fit the radiator", Decimal(4), Decimal(6), Decimal(10), 2, "Mind the fins"),
    ]
    links = JobLink.objects.values_list("before__key", "after__key", "lag_hours")
    assert list(links) == [("drain", "rad", Decimal(2))]


def test_a_look_writes_nothing(tern: Car, area: Area, preview: Callable[..., Any]) -> None:
    plan = preview(tern, jobs=LIST)
    assert [job.title for job in plan.jobs] == ["Drain the system", "Fit the radiator"]
    assert plan.can_be_added
    assert not Job.objects.exists()


def test_the_same_file_twice_adds_nothing_twice(tern: Car, area: Area, add: Callable[..., Any]) -> None:
    add(tern, jobs=LIST)
    plan = add(tern, jobs=LIST)
    assert (plan.adds_anything, [there.row for there in plan.jobs_there]) == (False, [2, 3])
    assert (Job.objects.count(), JobLink.objects.count()) == (2, 1)


def test_a_job_without_a_key_is_known_by_area_and_title(
    tern: Car, area: Area, make_job: Callable[..., Any], add: Callable[..., Any]
) -> None:
    make_job(tern, "Drain the system")
    plan = add(tern, jobs=LIST)
    assert [there.text for there in plan.jobs_there] == ["Drain the system"]
    link = JobLink.objects.get()
    assert (link.before.title, link.after.title) == ("Drain the system", "Fit the radiator")


def test_a_key_that_means_another_job_here_is_told(
    tern: Car, make_job: Callable[..., Any], preview: Callable[..., Any]
) -> None:
    make_job(tern, "Fit the big radiator", key="rad")
    assert [there.text for there in preview(tern, jobs=LIST).jobs_there] == [
        "Fit the radiator (here “Fit the big radiator”, by its key)"
    ]


def test_a_new_job_may_come_after_one_that_is_there(
    tern: Car, area: Area, make_job: Callable[..., Any], add: Callable[..., Any]
) -> None:
    there = make_job(tern, "Drain the system")
    add(tern, jobs="area;title;hours;after\ncooling;Fit the radiator;6;cooling: drain the system\n")
    assert list(Job.objects.get(title="Fit the radiator").after.all()) == [there]


def test_headings_come_in_any_order_and_spelling(tern: Car, area: Area, add: Callable[..., Any]) -> None:
    add(tern, jobs="Job list of Tern;;\n\nEstimate (hrs);TASK;Area:\n2,5;Bleed it;COOLING\n")
    job = tern.jobs.get()
    assert (job.title, job.area, job.hours_likely) == ("Bleed it", area, Decimal("2.5"))


def test_commas_in_titles_do_not_confuse_a_list_parted_by_semicolons(
    tern: Car, area: Area, add: Callable[..., Any]
) -> None:
    add(tern, jobs="area;title;hours\ncooling;Fit fans, shroud, ducts, and hoses, all of them;3\n")
    assert tern.jobs.get().title == "Fit fans, shroud, ducts, and hoses, all of them"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_accents_come_through(tern: Car, area: Area, preview: Callable[..., Any], encoding: str) -> None:
    plan = preview(tern, jobs="area,title,hours\ncooling,Façade à côté,1\n".encode(encoding))
    assert ([job.title for job in plan.jobs], plan.notes) == (["Façade à côté"], [])


def test_windows_1252_is_read_and_told(tern: Car, area: Area, preview: Callable[..., Any]) -> None:
    plan = preview(tern, jobs="area,title,hours\ncooling,Fit “fan” – 80 °C,1\n".encode("cp1252"))
    assert [job.title for job in plan.jobs] == ["Fit “fan” – 80 °C"]
    assert "read as Windows-1252" in plan.notes[0]


def test_columns_that_are_not_used_are_named(tern: Car, area: Area, preview: Callable[..., Any]) -> None:
    plan = preview(tern, jobs="area,title,hours,aftr,price\ncooling,Bleed,1,x,9\n")
    assert plan.notes == ["Columns not used: “aftr” (did you mean “after”?); “price”."]


def test_every_field_of_a_job_is_read(
    tern: Car, area: Area, plater: Supplier, add: Callable[..., Any], make_part: Callable[..., Any]
) -> None:
    Skill.objects.create(name="fitter")
    make_part(tern, "Radiator", route=[("fabricate", None, 5), ("powder_coat", None, 3)])
    add(
        tern,
        jobs="area;title;hours;place;supplier;skill;second signature;cautions;needs;milestone\n"
        "cooling;Chassis jig;16;away with the car;ferrand plating;Fitter;yes;lifting;"
        "radiator (line 1);First start up\n",
    )
    job = tern.jobs.get()
    assert (job.place, job.supplier, job.skill.name) == ("away", plater, "fitter")
    assert (job.needs_signature, job.cautions) == (True, ["lifting"])
    need = Need.objects.get(job=job)
    assert (need.part.name, need.operation.sequence) == ("Radiator", 1)
    milestone = tern.milestones.get()
    assert (milestone.kind, milestone.name, list(milestone.jobs.all())) == (
        "first start-up",
        "first start-up",
        [job],
    )


def test_new_areas_and_skills_come_only_when_asked_for(
    tern: Car, preview: Callable[..., Any], add: Callable[..., Any]
) -> None:
    content = "area,title,hours,skill\nbrakes,Bleed,2,fitter\n"
    assert [fault.column for fault in preview(tern, jobs=content).faults] == ["area", "skill"]
    assert not Area.objects.filter(name="brakes").exists()
    plan = add(tern, jobs=content, add_names=True)
    assert (plan.new_areas, plan.new_skills) == (["brakes"], ["fitter"])
    assert tern.jobs.get().area.name == "brakes"


WRONG = [
    ("coolng,Bleed,1,,", "row 2, area: there is no area “coolng” here. The nearest is “cooling”."),
    (",Bleed,1,,", "row 2, area: is empty."),
    ("cooling,,1,,", "row 2, title: is empty."),
    ("cooling,Bleed,,,", "row 2, hours likely: is empty."),
    ("cooling,Bleed,-2,,", "row 2, hours likely: -2 hours: write a number from 0 to 9999."),
    ("cooling,Bleed,99999,,", "row 2, hours likely: 99999 hours: write a number from 0 to 9999."),
    ("cooling,Bleed,two,,", "row 2, hours likely: “two” is not a number."),
    ('cooling,Bleed,"1,250",,', "row 2, hours likely: “1,250” could be 1250 or 1.250"),
    ("cooling,Bleed,3 days,,", "row 2, hours likely: “3 days” has the unit “days”"),
    ("cooling,Bleed,12 Mar,,", "row 2, hours likely: “12 mar” has the unit “mar”"),
    ("cooling,Bleed,1,99,", "row 2, people: 99: write a whole number from 0 to 20."),
    ("cooling,Bleed,1,1.5,", "row 2, people: 1.5: write a whole number"),
    ("cooling,Bleed,1,,drian", "row 2, after: there is no job “drian” on this car or in this file."),
    ("cooling,Bleed,1,,Bleed", "row 2, after: “Bleed” cannot come after itself."),
    (f"cooling,{'x' * 201},1,,", "row 2, title: is 201 signs long; 200 fit."),
]


@pytest.mark.parametrize(("row", "words"), WRONG, ids=[words for _, words in WRONG])
def test_a_fault_names_row_and_column(
    tern: Car, area: Area, preview: Callable[..., Any], add: Callable[..., Any], row: str, words: str
) -> None:
    content = f"area,title,hours likely,people,after\n{row}\ncooling,Good row,1,,\n"
    assert any(words in fault for fault in faults(preview(tern, jobs=content)))
    with pytest.raises(ValidationError):
        add(tern, jobs=content)
    assert not Job.objects.exists()


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        (
            "place",
            "on the moon",
            "place: “on the moon”; write on the car, at the bench or away with the car.",
        ),
        ("place", "at supplier without", "so it goes on the parts list"),
        ("skill", "welder", "skill: there is no skill “welder” here. The nearest is “fabricator-welder”."),
        (
            "supplier",
            "Ferand Plating",
            "there is no supplier “Ferand Plating”. The nearest is “Ferrand Plating”.",
        ),
        ("supplier", "Ferrand Plating", "supplier: only a job away with the car has a supplier."),
        ("second signature", "perhaps", "second signature: “perhaps”: write yes or no."),
        ("cautions", "hotwork", "cautions: there is no caution “hotwork”. The nearest is “hot work”."),
        ("needs", "Radiatr", "needs: there is no part “Radiatr” on this car. The nearest is “Radiator”."),
        ("needs", "Radiator (line 4)", "needs: the route card of “Radiator” has no line 4."),
        ("key", "ä b", "key: “ä b”: use up to 60 letters without accents"),
        ("hours low", "5", "hours likely: 5.00, 2.00, 2.00: hours must run low, likely, high."),
        ("milestone", "m" * 61, "is longer than 60 signs"),
    ],
)
def test_unknown_and_impossible_values(
    tern: Car,
    area: Area,
    plater: Supplier,
    make_part: Callable[..., Any],
    preview: Callable[..., Any],
    column: str,
    value: str,
    words: str,
) -> None:
    Skill.objects.create(name="fabricator-welder")
    make_part(tern, "Radiator", route=[("fabricate", None, 5)])
    plan = preview(tern, jobs=f"area;title;hours;{column}\ncooling;Bleed;2;{value}\n")
    assert any(words in fault for fault in faults(plan)), faults(plan)
    assert not plan.can_be_added


def test_a_ring_is_named(tern: Car, area: Area, preview: Callable[..., Any]) -> None:
    content = "area,key,title,hours,after\ncooling,a,Alpha,1,c\ncooling,b,Beta,1,a\ncooling,c,Gamma,1,b\n"
    plan = preview(tern, jobs=content)
    [fault] = plan.faults
    assert (fault.column, fault.row) in {("after", 2), ("after", 3), ("after", 4)}
    assert "wait for one another in a ring" in fault.text
    for title in ("“Alpha”", "“Beta”", "“Gamma”"):
        assert title in fault.text
    assert not Job.objects.exists()


def test_a_ring_by_way_of_a_part_is_named(tern: Car, area: Area, preview: Callable[..., Any]) -> None:
    plan = preview(
        tern,
        jobs="area,title,hours,needs\ncooling,Fit it,1,Radiator\n",
        parts="part,made by\nRadiator,Fit it\n",
    )
    assert "ring" in faults(plan)[0]
    assert "Fit it" in faults(plan)[0]


def test_rows_that_are_the_same_are_named(tern: Car, area: Area, preview: Callable[..., Any]) -> None:
    content = "area,key,title,hours\ncooling,a,Alpha,1\ncooling,a,Beta,1\ncooling,,alpha,1\n"
    assert faults(preview(tern, jobs=content)) == [
        "Job list, row 3, key: row 2 has the same key.",
        "Job list, row 4, title: row 2 has the same area and title.",
    ]


def test_a_title_that_two_areas_have_needs_its_area(
    tern: Car, area: Area, preview: Callable[..., Any]
) -> None:
    Area.objects.create(name="fuel")
    content = "area,title,hours,after\ncooling,Leak test,1,\nfuel,Leak test,1,\nfuel,Fill,1,Leak test\n"
    assert faults(preview(tern, jobs=content)) == [
        "Job list, row 4, after: there are 2 jobs “Leak test”: write the area before it, as in "
        "“fuel: Leak test”."
    ]


def test_a_list_of_several_cars_gives_the_rows_of_this_one(
    tern: Car, area: Area, add: Callable[..., Any]
) -> None:
    plan = add(tern, jobs="car,area,title,hours\nTern,cooling,Bleed,1\nSkua,cooling,Fill,1\n")
    assert list(tern.jobs.values_list("title", flat=True)) == ["Bleed"]
    assert plan.notes == ["Job list: 1 row is of other cars and left out."]


def test_a_list_of_several_other_cars_is_refused(tern: Car, area: Area, preview: Callable[..., Any]) -> None:
    plan = preview(tern, jobs="car,area,title,hours\nGannet,cooling,Bleed,1\nSkua,cooling,Fill,1\n")
    assert "none is Tern" in faults(plan)[0]


def test_html_stays_text(tern: Car, area: Area, add: Callable[..., Any]) -> None:
    add(tern, jobs="area,title,hours\ncooling,<b>Bleed</b><script>x</script>,1\n")
    assert tern.jobs.get().title == "<b>Bleed</b><script>x</script>"


def test_five_thousand_rows_are_read_in_seconds(tern: Car, area: Area, add: Callable[..., Any]) -> None:
    rows = [f"cooling,k{n},Job {n},1,{f'k{n - 1}' if n else ''}" for n in range(5000)]
    add(tern, jobs="area,key,title,hours,after\n" + "\n".join(rows))
    assert (tern.jobs.count(), JobLink.objects.count()) == (5000, 4999)


def test_more_faults_than_anybody_reads_stop_the_reading(
    tern: Car, area: Area, preview: Callable[..., Any]
) -> None:
    rows = "\n".join(f"cooling,Job {n},x" for n in range(5000))
    assert len(preview(tern, jobs=f"area,title,hours\n{rows}").faults) == 200

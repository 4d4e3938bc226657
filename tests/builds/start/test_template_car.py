"""A car from the build template: what its rows become.

The template and its hours are a workshop's own estimates (common practice, no source); what is checked
here is that the conversion keeps every job, link, part and waiting time of the files.
"""

import csv
import time
from pathlib import Path
from typing import Any

import networkx
import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils import timezone

from builds.models import Area, Car, Job, JobLink, Need
from builds.services.start import build_template, car_start_from_template
from parts.models import Operation, Part, Process, Supplier

FIXTURES = Path(settings.BASE_DIR) / "fixtures"


def _rows(name: str) -> list[dict[str, str]]:
    with (FIXTURES / name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.fixture
def gannet(workshop: Any, manager: Any) -> Car:
    return car_start_from_template(
        name="Gannet", description="1968 saloon", by=manager, today=timezone.localdate()
    )


def _job(car: Car, key: str) -> Job:
    return Job.objects.get(car=car, key=key)


def _card(car: Car, name: str) -> list[tuple[str, int, list[str]]]:
    """Process, likely days and the jobs waited for, line by line."""
    return [
        (line.process.key, line.lead_likely_days, sorted(line.after_jobs.values_list("key", flat=True)))
        for line in Part.objects.get(car=car, name=name).operations.order_by("sequence")
    ]


def test_every_row_that_is_no_trip_of_parts_becomes_a_job(gannet: Car) -> None:
    expected = [
        (row["key"].replace("_", "-"), row["title"], row["area"])
        for row in _rows("build_template.csv")
        if row["place"] != "at supplier without"
    ]
    jobs = gannet.jobs.order_by("position").values_list("key", "title", "area__name")
    assert list(jobs) == expected


def test_a_job_keeps_its_hours_people_place_and_skill(gannet: Car) -> None:
    job = _job(gannet, "engine-fit")
    assert (job.hours_low, job.hours_likely, job.hours_high) == (11, 19, 32)
    assert (job.people, job.place, job.skill.name) == (3, "on", "engine builder")
    assert job.cautions == ["lifting", "working under a car"]


def test_work_away_with_the_car_is_a_job_of_its_hours(gannet: Car) -> None:
    job = _job(gannet, "exh-make")
    assert (job.place, job.hours_likely, job.supplier) == ("away", 160, None)


def test_gates_become_signatures_cautions_and_lines_of_the_note(gannet: Car) -> None:
    release = _job(gannet, "start-release")
    assert release.needs_signature
    assert release.note == "Before first start-up."
    assert _job(gannet, "wheels-on").note == "Second signature: wheel torque."
    assert _job(gannet, "legal-route").note == "Check with the authority: identity and approval route."
    assert _job(gannet, "shell-spec").note == "Hold point: specification freeze."
    assert not _job(gannet, "shell-spec").needs_signature
    assert Part.objects.get(name="Instruments").note == "Hold point: artwork approved."


def test_the_workshops_own_equipment_is_to_hand_and_no_part_of_the_car(gannet: Car) -> None:
    assert "Have to hand: timing light." in _job(gannet, "pre-spark").note
    assert not Part.objects.filter(name__icontains="timing light").exists()


def test_the_fuel_tank_is_made_trial_fitted_and_then_anodised(gannet: Car) -> None:
    tank = Part.objects.get(car=gannet, name="Fuel tank")
    assert tank.made_by == _job(gannet, "fuel-tank-draw")
    assert _card(gannet, "Fuel tank") == [
        ("fabricate", 20, []),
        ("anodise_decorative", 10, ["fin-anodise-prep", "fin-sample-ok", "fuel-tank-test"]),
    ]
    needs = {need.job.key: need.operation for need in Need.objects.filter(part=tank)}
    bare = tank.operations.get(sequence=1)
    assert needs == {"fuel-tank-trial": bare, "finish-anodise-check": None, "fuel-tank-build": None}


def test_a_panel_is_cut_anodised_and_engraved_in_turn(gannet: Car) -> None:
    assert [line[0] for line in _card(gannet, "Switch panel and plates")] == [
        "waterjet",
        "anodise_decorative",
        "engrave",
    ]
    panel = Part.objects.get(name="Switch panel and plates")
    needs = {
        need.job.key: need.operation and need.operation.sequence for need in Need.objects.filter(part=panel)
    }
    assert needs == {"fin-anodise-prep": 1, "finish-anodise-check": 2, "dash-build": None}


def test_what_is_bought_in_has_one_line_with_its_lead_time(gannet: Car) -> None:
    assert _card(gannet, "Dampers") == [("supply", 30, [])]
    assert _card(gannet, "Starter motor") == [("supply", 7, [])]
    assert _card(gannet, "Engine oil") == [("supply", 2, [])]


def test_what_came_with_the_car_has_an_empty_route_card(gannet: Car) -> None:
    assert _card(gannet, "Doors") == []
    assert Need.objects.get(part__name="Doors").job.key == "shell-panels"


def test_a_pedal_box_is_tried_as_it_is_and_fitted_when_coated(gannet: Car) -> None:
    needs = Need.objects.filter(part__name="Pedal box").order_by("pk")
    assert [(need.job.key, need.operation) for need in needs] == [
        ("pedal-fit", None),
        ("finish-steel-check", None),
    ]
    assert "Have to hand: dummy dampers, trial wheels, Pedal box." in _job(gannet, "mock-suspension").note


def test_lead_times_agree_with_the_hours_of_the_template(gannet: Car) -> None:
    hours = {row["key"]: row for row in _rows("build_template.csv")}
    for lead in _rows("lead_times.csv"):
        days = [int(lead[column]) for column in ("days_optimistic", "days_likely", "days_pessimistic")]
        for key in filter(None, lead["template_jobs"].split(";")):
            row = hours[key]
            assert [int(row[column]) for column in ("hours_low", "hours_likely", "hours_high")] == [
                8 * day for day in days
            ], key


def test_milestones_are_reached_after_their_jobs(gannet: Car) -> None:
    found = {
        milestone.kind: list(milestone.jobs.values_list("key", flat=True))
        for milestone in gannet.milestones.all()
    }
    assert found == {
        "first start-up": ["engine-first-start"],
        "first drive": ["road-short"],
        "handover": ["handover"],
    }


def _waits(car: Car) -> networkx.DiGraph:
    """The saved car as a graph of jobs and route-card lines."""
    graph = networkx.DiGraph()
    for job in Job.objects.filter(car=car):
        graph.add_node(("job", job.key))
    for link in JobLink.objects.filter(after__car=car).select_related("before", "after"):
        graph.add_edge(("job", link.before.key), ("job", link.after.key))
    for part in Part.objects.filter(car=car).select_related("made_by"):
        above: Any = None
        for line in part.operations.order_by("sequence"):
            here = (part.name, line.sequence)
            graph.add_node(here)
            if above:
                graph.add_edge(above, here)
            elif part.made_by:
                graph.add_edge(("job", part.made_by.key), here)
            for job in line.after_jobs.all():
                graph.add_edge(("job", job.key), here)
            above = here
    for need in Need.objects.filter(job__car=car).select_related("job", "part", "operation"):
        line = need.operation or need.part.operations.order_by("sequence").last()
        if line:
            graph.add_edge((need.part.name, line.sequence), ("job", need.job.key))
    return graph


def test_nothing_of_the_templates_order_is_lost(gannet: Car) -> None:
    """Each row waits for the same jobs as in the file, whether by a link or by way of a part."""
    rows = {row["key"]: row for row in _rows("build_template.csv")}
    file_graph = networkx.DiGraph(
        (before, key) for key, row in rows.items() for before in row["after"].split(";") if before
    )
    saved = _waits(gannet)
    assert networkx.is_directed_acyclic_graph(saved)
    jobs = {key for key, row in rows.items() if row["place"] != "at supplier without"}
    for key in jobs:
        expected = {before.replace("_", "-") for before in networkx.ancestors(file_graph, key) & jobs}
        found = {
            name for kind, name in networkx.ancestors(saved, ("job", key.replace("_", "-"))) if kind == "job"
        }
        assert found == expected, key


def test_every_line_is_wanted_by_some_job(gannet: Car) -> None:
    """A part that nothing waits for would be ordered for nothing."""
    saved = _waits(gannet)
    ends = {node for node in saved if saved.out_degree(node) == 0}
    assert ends == {("job", "handover")}


def test_a_line_goes_to_its_only_supplier(workshop: Any, manager: Any, plater: Supplier) -> None:
    zinc, powder = Process.objects.get(key="zinc_plate"), Process.objects.get(key="powder_coat")
    plater.processes.set([zinc, powder])
    other = Supplier.objects.create(name="Blackwater Coatings")
    other.processes.set([powder])
    car_start_from_template(name="Gannet", description="", by=manager, today=timezone.localdate())
    assert set(Operation.objects.filter(process=zinc).values_list("supplier__name", flat=True)) == {
        "Ferrand Plating"
    }
    assert set(Operation.objects.filter(process=powder).values_list("supplier", flat=True)) == {None}


def test_the_caller_may_say_who_makes_what(workshop: Any, manager: Any, plater: Supplier) -> None:
    maker = Supplier.objects.create(name="Loddon Tanks")
    car_start_from_template(
        name="Gannet",
        description="",
        by=manager,
        today=timezone.localdate(),
        suppliers={"oil_tank": maker, "anodise_decorative": plater, "fabricate": plater},
    )
    made = Operation.objects.filter(process__key="fabricate")
    assert made.get(part__name="Oil tank").supplier == maker
    assert made.get(part__name="Fuel tank").supplier == plater


def test_a_second_car_shares_areas_and_skills(gannet: Car, manager: Any) -> None:
    before = Area.objects.count()
    second = car_start_from_template(name="Skua", description="", by=manager, today=timezone.localdate())
    assert Area.objects.count() == before
    assert second.jobs.count() == gannet.jobs.count()


def test_it_takes_under_a_second(workshop: Any, manager: Any) -> None:
    """Of the processor's time: the clock on the wall also counts what else the machine does."""
    build_template.cache_clear()
    began = time.process_time()
    car_start_from_template(name="Gannet", description="", by=manager, today=timezone.localdate())
    assert time.process_time() - began < 1


def test_a_name_already_taken_changes_nothing(gannet: Car, manager: Any) -> None:
    before = (Car.objects.count(), Job.objects.count(), Part.objects.count())
    with pytest.raises(ValidationError, match="There is a car of that name already"):
        car_start_from_template(name="gannet", description="", by=manager, today=timezone.localdate())
    assert (Car.objects.count(), Job.objects.count(), Part.objects.count()) == before


def test_a_fitter_cannot_start_a_car(workshop: Any, fitter: Any) -> None:
    with pytest.raises(ValidationError, match="Only a manager"):
        car_start_from_template(name="Gannet", description="", by=fitter, today=timezone.localdate())
    assert not Car.objects.exists()

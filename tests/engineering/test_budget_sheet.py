"""Alternator and battery: the balance of each situation, a start, the car parked."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engineering.loom.budget_shares import BY_CIRCUIT
from engineering.loom.generic import GENERIC
from engineering.models import CalcSheet
from engineering.sheets.budget_form import LOADS
from tests.engineering.looms_typed import typed_generic

KEYS = [column.key for column in LOADS]


def loads(*lines: tuple[str, ...]) -> dict[str, str]:
    return {
        f"loads-{n}-{key}": cell
        for n, line in enumerate(lines)
        for key, cell in zip(KEYS, line, strict=False)
    }


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Charging")


@pytest.fixture
def typed() -> dict[str, str]:
    """A two-door car at night in rain: lamps 12 A, wipers 5 A, blower 10 A, ignition and pump 13 A."""
    return {
        "title": "Alternator", "system_v": "12", "alternator_a": "55", "idle_percent": "50",
        "cruise_percent": "90", "battery_ah": "60", "reserve_min": "", "usable_percent": "50",
        "drain_ma": "50", "cranking_a": "168", "cranking_s": "9", "rated_v": "", "loom_sheet": "",
        **loads(
            ("Lamps", "12", "", "100", "", ""),
            ("Wipers", "5", "", "100", "", ""),
            ("Blower", "10", "", "100", "50", ""),
            ("Ignition and pump", "13", "", "100", "100", "100"),
        ),
    }  # fmt: skip


def new(job: Any, act: str = "try") -> str:
    return reverse(f"calc-sheet-{act}", args=[job.pk, "budget"])


def test_the_balance_by_hand(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    """Idle 40 A drawn of 27.5 given: 12.5 A short, 30 Ah last 2.4 h. Cruise 18 of 49.5: 31.5 A left. To hold
    at idle 40 / 0.5 = 80 A. All by definition of ampere and hour."""
    shown = as_fitter.post(new(job), typed).context["shown"]
    idle, cruise, crank = shown["situations"]
    assert (idle["drawn"], idle["given"], idle["charge"], idle["lasts"]) == ("40.0", "27.5", "−12.5", "2.4 h")
    assert (cruise["drawn"], cruise["charge"], cruise["lasts"]) == ("18.0", "+31.5", "charged")
    assert crank["drawn"] == "13.0 and 181 with the starter"
    assert shown["needed"] == "80"
    assert idle["largest"].startswith("Ignition and pump 13.0 A, Lamps 12.0 A")


def test_a_start_by_hand(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    """181 A for 9 s are 1629 As, 0.4525 Ah; 31.5 A put them back in 0.86 min."""
    start = as_fitter.post(new(job), typed).context["shown"]["start"]
    assert (start["takes"], start["back"]) == ("0.45", "0.9")


@pytest.mark.parametrize(
    ("drain", "usable", "parked"),
    [("50", "50", "25 days"), ("1000", "50", "30.0 hours"), ("0", "50", "without end")],
)
def test_the_days_parked_by_hand(
    as_fitter: Client, job: Any, typed: dict[str, str], drain: str, usable: str, parked: str
) -> None:
    shown = as_fitter.post(new(job), typed | {"drain_ma": drain, "usable_percent": usable}).context["shown"]
    assert shown["parked"] == parked


def test_an_amplifier_in_a_magazine(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    """A US magazine of 2008: 500 W at 13.8 V draw 36.2 A."""
    amplifier = loads(("Amplifier", "", "500 W", "100", "0", "0"))
    sent = {key: cell for key, cell in typed.items() if not key.startswith("loads-")}
    shown = as_fitter.post(new(job), sent | amplifier | {"rated_v": "13.8"}).context["shown"]
    assert shown["situations"][0]["drawn"] == "36.2"


def test_a_reserve_capacity_is_minutes_at_25_a(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    """By its definition 96 min are 40 Ah; half of it may be used."""
    shown = as_fitter.post(new(job), typed | {"battery_ah": "", "reserve_min": "96"}).context["shown"]
    assert shown["usable"] == "20"


def test_kept_printed_and_as_a_table(
    as_fitter: Client, job: Any, typed: dict[str, str], settings: Any
) -> None:
    page = as_fitter.post(new(job, "new"), typed, follow=True).content.decode()
    assert "hydrogen" in page
    sheet = CalcSheet.objects.get()
    assert as_fitter.get(reverse("calc-sheet-print", args=[sheet.pk]))["Content-Type"] == "application/pdf"
    text = as_fitter.get(reverse("calc-sheet-table", args=[sheet.pk])).content.decode("utf-8-sig")
    lines = list(csv.reader(io.StringIO(text)))
    assert lines[3] == ["Blower", "10", "10", "5", "0"]
    assert sum(float(line[2]) for line in lines[1:]) == pytest.approx(40)


@pytest.fixture
def kept_loom(as_fitter: Client, job: Any) -> CalcSheet:
    as_fitter.post(reverse("calc-sheet-new", args=[job.pk, "loom"]), typed_generic())
    return CalcSheet.objects.get()


def test_it_starts_from_the_components_of_a_kept_loom(
    as_fitter: Client, job: Any, typed: dict[str, str], kept_loom: CalcSheet
) -> None:
    sent = typed | {"loom_sheet": str(kept_loom.pk), "take": "1"}
    answer = as_fitter.post(new(job, "new"), sent)
    assert not CalcSheet.objects.filter(kind="budget").exists()  # read first
    form = answer.context["form"]
    rows = form.fields["loads"].widget.value_from_datadict(form.data, {}, "loads")
    assert [row["name"] for row in rows] == [row["name"] for row in kept_loom.inputs["components"]]
    assert all(
        row["steady_a"] == was["steady_a"]
        for row, was in zip(rows, kept_loom.inputs["components"], strict=True)
    )
    assert "common practice, no source" in answer.content.decode()
    shown = as_fitter.post(new(job), dict(form.data.items())).context["shown"]
    by_hand = sum(
        load.steady_a * BY_CIRCUIT[circuit.name].idle for circuit in GENERIC for load in circuit.loads
    )
    assert float(shown["situations"][0]["drawn"]) == pytest.approx(by_hand, abs=0.06)


def test_a_loom_of_another_car_is_no_choice(
    as_fitter: Client, job: Any, typed: dict[str, str], kept_loom: CalcSheet, skua: Any, make_job: Any
) -> None:
    other = make_job(skua, "Charging")
    answer = as_fitter.post(new(other), typed | {"loom_sheet": str(kept_loom.pk), "take": "1"})
    assert "Choose the sheet of a loom first" in " ".join(answer.context["form"].errors["loom_sheet"])


def test_the_page_says_when_that_loom_has_been_revised(
    as_fitter: Client, job: Any, typed: dict[str, str], kept_loom: CalcSheet
) -> None:
    as_fitter.post(new(job, "new"), typed | {"loom_sheet": str(kept_loom.pk)})
    as_fitter.post(
        reverse("calc-sheet-revise", args=[kept_loom.pk]), typed_generic() | {"runs-0-length_mm": "950"}
    )
    budget = CalcSheet.objects.get(kind="budget")
    page = as_fitter.get(budget.get_absolute_url())
    assert [newest.revision for _, newest in page.context["overtaken"]] == [2]


@pytest.mark.parametrize(
    ("cells", "field", "words"),
    [
        ({"alternator_a": "-5"}, "alternator_a", "must be 0 or more"),
        ({"alternator_a": "900"}, "alternator_a", "more than 500 A"),
        ({"alternator_a": "inf"}, "alternator_a", "not a number"),
        ({"battery_ah": "0"}, "battery_ah", "must be more than 0"),
        ({"battery_ah": ""}, "battery_ah", "one of the two"),
        ({"reserve_min": "90"}, "battery_ah", "one of the two"),
        ({"battery_ah": "", "reserve_min": "-1"}, "reserve_min", "is not between"),
        ({"usable_percent": "150"}, "usable_percent", "0 to 100 %"),
        ({"idle_percent": "130"}, "idle_percent", "0 to 100 %"),
        ({"drain_ma": "-1"}, "drain_ma", "must be 0 or more"),
        ({"cranking_a": "9000"}, "cranking_a", "is not between"),
        ({"cranking_s": ""}, "cranking_s", "with the cranking current"),
        ({"loads-1-name": "Lamps"}, "loads", "Line 2: Lamps stands in line 1 already"),
        ({"loads-1-steady_a": ""}, "loads", "Line 2: Wipers: give its current or its power"),
        ({"loads-1-power_w": "60"}, "loads", "Line 2: Wipers: give its current or its power"),
        ({"loads-1-steady_a": "0"}, "loads", "Line 2: Wipers: a current of 0 is not between"),
        ({"loads-1-steady_a": "900"}, "loads", "Line 2: Wipers: a current of 900"),
        (
            {"loads-1-idle_percent": "120"},
            "loads",
            "Line 2: Wipers: “On at idle, night, rain” must be 0 to 100 %",
        ),
        ({"rated_v": "0"}, "rated_v", "must be more than 0 V"),
    ],
)
def test_what_cannot_be_meant_names_its_field_and_keeps_nothing(
    as_fitter: Client, job: Any, typed: dict[str, str], cells: dict[str, str], field: str, words: str
) -> None:
    sent = typed | cells
    if field == "rated_v":
        sent |= {"loads-1-steady_a": "", "loads-1-power_w": "60"}
    answer = as_fitter.post(new(job, "new"), sent)
    assert words in " ".join(answer.context["form"].errors.get(field, []))
    assert not CalcSheet.objects.exists()

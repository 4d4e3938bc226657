"""Battery and starter cable: worked out on the page, kept, printed, refused."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engineering.models import CalcSheet


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Battery to the boot")


@pytest.fixture
def typed() -> dict[str, str]:
    return {
        "title": "Starter cable", "system_v": "12", "cranking_a": "200", "cranking_s": "10",
        "cold_a": "500", "plus_m": "1.5", "return_m": "1.5", "body_v": "0.05", "plus_limit_v": "",
        "return_limit_v": "", "ambient_c": "40", "insulation": "b", "series": "metric",
    }  # fmt: skip


def new(job: Any, act: str = "try") -> str:
    return reverse(f"calc-sheet-{act}", args=[job.pk, "starter"])


@pytest.mark.parametrize(
    ("metres", "size"), [("1.3", 25), ("1.8", 35), ("2.6", 50), ("3.7", 70), ("4.8", 95)]
)
def test_an_engine_makers_table_of_battery_cables(
    as_fitter: Client, job: Any, typed: dict[str, str], metres: str, size: int
) -> None:
    """A small marine diesel's manual: loops up to 1.3 m 25 mm² and so on: one drop for all. 25 mm² of ISO
    6722 has 0.743 mΩ/m (from memory of its table), so 250 A lose 0.256 V over 1.3 m when warm by 15 °C."""
    cells = {
        "cranking_a": "250", "cranking_s": "0.5", "ambient_c": "20",
        "plus_m": metres, "plus_limit_v": "0.256",
    }  # fmt: skip
    shown = as_fitter.post(new(job), typed | cells).context["shown"]
    assert shown["plus"] == f"{size} mm²"


def test_the_voltage_left_at_the_starter_by_hand(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    """EN 50342-1, from memory: 7.5 V at the rated cold current, 12.6 V at rest; a straight line between."""
    shown = as_fitter.post(new(job), typed).context["shown"]
    assert shown["battery"] == f"{12.6 - 5.1 * 200 / 500:.1f}"
    drops = [float(side["drop"]) for side in shown["sides"]]
    assert float(shown["at_starter"]) == pytest.approx(12.6 - 5.1 * 200 / 500 - sum(drops), abs=0.06)
    assert [float(side["limit"]) for side in shown["sides"]] == [0.5, 0.3]  # starter testers' manuals
    assert "10 mm² would lose 0.6" in shown["sides"][0]["why"]


def test_a_side_loses_current_times_resistance_as_in_a_trade_article(
    as_fitter: Client, job: Any, typed: dict[str, str]
) -> None:
    """A trade article: 200 A through 0.01 Ω lose 2 V. What the page says a side loses is 200 A times its ohms
    in the same way: 16 mm² of 1.16 mΩ/m (IEC 60228 gives 1.21 for plain class 5) over 1.5 m, warm."""
    plus = as_fitter.post(new(job), typed).context["shown"]["sides"][0]
    assert plus["size"] == "16 mm²"
    ohm = 0.00116 * 1.5 * (1 + 0.00393 * (float(plus["after"]) - 20))
    assert float(plus["drop"]) == pytest.approx(2.0 * ohm / 0.01, abs=0.006)


def test_kept_printed_and_with_its_cautions(
    as_fitter: Client, job: Any, typed: dict[str, str], settings: Any
) -> None:
    page = as_fitter.post(new(job, "new"), typed, follow=True).content.decode()
    assert "earth side first" in page
    assert "does not show compliance" in page
    assert "Where the battery" in page
    printed = as_fitter.get(reverse("calc-sheet-print", args=[CalcSheet.objects.get().pk]))
    assert printed["Content-Type"] == "application/pdf"


def test_a_weak_battery_is_said(as_fitter: Client, job: Any, typed: dict[str, str]) -> None:
    shown = as_fitter.post(new(job), typed | {"cold_a": "210"}).context["shown"]
    assert "reach the starter" in shown["remarks"][0]


def test_without_the_cold_current_the_page_says_what_it_does_not_know(
    as_fitter: Client, job: Any, typed: dict[str, str]
) -> None:
    shown = as_fitter.post(new(job), typed | {"cold_a": ""}).context["shown"]
    assert shown["at_starter"] == ""
    assert "not given" in shown["remarks"][0]


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("cranking_a", "0", "more than 0 A"),
        ("cranking_a", "-200", "more than 0 A"),
        ("cranking_a", "9000", "more than 1500 A"),
        ("cranking_a", "nan", "not a number"),
        ("cranking_a", "1e9", "not a number"),
        ("cranking_s", "0", "more than 0 s"),
        ("plus_m", "-1", "must be more than 0 m"),
        ("plus_m", "1500", "more than 20 m"),
        ("return_m", "", "give it in m"),
        ("ambient_c", "120", "not between"),
        ("cold_a", "100", "less than the 200 A"),
        ("body_v", "0.5", ""),
        ("system_v", "230", "230"),
    ],
)
def test_what_cannot_be_meant_names_its_field_and_keeps_nothing(
    as_fitter: Client, job: Any, typed: dict[str, str], field: str, value: str, words: str
) -> None:
    answer = as_fitter.post(new(job, "new"), typed | {field: value})
    errors = answer.context["form"].errors
    assert words in " ".join(sentence for sentences in errors.values() for sentence in sentences)
    assert errors
    assert not CalcSheet.objects.exists()

"""A loom at the bench: a revision taken, wires ticked, readings compared, a newer revision taken."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engineering.models import Bench, BenchChange, BenchReading, BenchTick, CalcSheet
from engineering.services import calc_sheet_save
from engineering.sheets.loom_rows import generic_lines

LONGER = {"R9": "560"}


def inputs(lengths: dict[str, str] | None = None) -> dict[str, Any]:
    """The generic car, with runs of other lengths where they are named [mm]."""
    typed = generic_lines() | {"body_v": 0.1, "least_mm2": 0.5, "tail_mm": 100.0, "loop_mm": 0.0}
    for run in typed["runs"]:
        run["length_mm"] = (lengths or {}).get(run["name"], run["length_mm"])
    return typed


@pytest.fixture
def job(tern: Any, make_job: Any) -> Any:
    return make_job(tern, "Build the loom")


@pytest.fixture
def keep(job: Any, fitter: Any) -> Any:
    def keep(given: dict[str, Any]) -> CalcSheet:
        return calc_sheet_save(
            job=job, kind="loom", title="Main loom", inputs=given, by=fitter, at=timezone.now()
        )

    return keep


@pytest.fixture
def sheet(keep: Any) -> CalcSheet:
    return keep(inputs())


@pytest.fixture
def bench(sheet: CalcSheet, as_fitter: Client) -> Bench:
    as_fitter.post(reverse("bench-take", args=[sheet.pk]))
    return Bench.objects.get()


def rows(sheet: CalcSheet) -> dict[str, dict[str, Any]]:
    return {row["label"]: row for row in sheet.results["cut"]}


def press(
    client: Client, bench: Bench, act: str, step: str, sheet: CalcSheet, label: str, **more: Any
) -> Any:
    return client.post(
        reverse("bench-tick", args=[bench.pk]), {"act": f"{act} {step} {sheet.pk} {label}"}, **more
    )


def ticks() -> set[tuple[str, str]]:
    return set(BenchTick.objects.values_list("label", "step"))


def test_a_revision_is_taken_to_the_bench_by_somebody_at_a_time(
    as_fitter: Client, sheet: CalcSheet, fitter: Any
) -> None:
    page = as_fitter.get(sheet.get_absolute_url()).content.decode()
    assert "Nothing is cut from this sheet yet" in page
    answer = as_fitter.post(reverse("bench-take", args=[sheet.pk]), follow=True)
    bench = Bench.objects.get()
    assert (bench.sheet, bench.taken_by, bench.takings.get().by) == (sheet, fitter, fitter)
    assert [line.row.label for line in answer.context["page"].shown] == [
        row["label"] for row in sheet.results["cut"]
    ]
    assert "does not replace the applicable standard" in answer.content.decode()
    assert "This revision is cut" in as_fitter.get(sheet.get_absolute_url()).content.decode()


def test_the_bench_is_found_from_the_sheets_of_its_job(as_fitter: Client, bench: Bench) -> None:
    page = as_fitter.get(reverse("calc-sheet-list", args=[bench.job_id])).content.decode()
    assert f'href="{bench.get_absolute_url()}"' in page


def test_a_sheet_with_a_fault_is_not_cut(as_fitter: Client, keep: Any) -> None:
    given = inputs()
    given["devices"][0]["rating_a"] = "1"
    faulty = keep(given)
    answer = as_fitter.post(reverse("bench-take", args=[faulty.pk]), follow=True)
    assert "to put right before anything is cut" in answer.content.decode()
    assert not Bench.objects.exists()


def test_neither_twice_nor_an_older_revision_nor_another_kind(
    as_fitter: Client, keep: Any, sheet: CalcSheet, job: Any, fitter: Any
) -> None:
    newer = keep(inputs(LONGER))
    as_fitter.post(reverse("bench-take", args=[newer.pk]))
    for again, words in ((newer, "at the bench already"), (sheet, "an older one is not taken")):
        answer = as_fitter.post(reverse("bench-take", args=[again.pk]), follow=True)
        assert words in answer.content.decode()
    CalcSheet.objects.filter(pk=sheet.pk).update(kind="circuit", title="Lamp")
    as_fitter.post(reverse("bench-take", args=[sheet.pk]))
    assert (Bench.objects.get().sheet, Bench.objects.get().takings.count()) == (newer, 1)


def test_a_box_is_ticked_and_taken_back(as_fitter: Client, bench: Bench, sheet: CalcSheet) -> None:
    label = sheet.results["cut"][0]["label"]
    answer = press(as_fitter, bench, "tick", "cut", sheet, label)
    assert answer.url == f"{bench.get_absolute_url()}#wire-1"
    assert ticks() == {(label, "cut")}
    press(as_fitter, bench, "tick", "cut", sheet, label)
    assert BenchTick.objects.count() == 1
    page = as_fitter.get(bench.get_absolute_url())
    assert [(one.step, one.done, one.of) for one in page.context["page"].progress][:2] == [
        ("cut", 1, 117),
        ("labelled", 0, 117),
    ]
    press(as_fitter, bench, "untick", "cut", sheet, label)
    assert ticks() == set()


def test_with_htmx_the_line_and_the_progress_come_back(
    as_fitter: Client, bench: Bench, sheet: CalcSheet
) -> None:
    label = sheet.results["cut"][4]["label"]
    answer = press(as_fitter, bench, "tick", "laid", sheet, label, headers={"HX-Request": "true"})
    text = answer.content.decode()
    assert answer.status_code == 200
    assert 'id="wire-5"' in text
    assert 'hx-swap-oob="true"' in text
    assert text.count('aria-pressed="true"') == 1


def test_two_tablets_tick_without_losing_anything(
    as_fitter: Client, manager: Any, fitter: Any, bench: Bench, sheet: CalcSheet
) -> None:
    other = Client()
    other.force_login(manager)
    one, two = (row["label"] for row in sheet.results["cut"][:2])
    press(as_fitter, bench, "tick", "cut", sheet, one)
    press(other, bench, "tick", "cut", sheet, two)
    press(other, bench, "tick", "cut", sheet, one)  # too late: the first stays named
    assert ticks() == {(one, "cut"), (two, "cut")}
    assert BenchTick.objects.get(label=one).by == fitter


@pytest.mark.parametrize("act", ["", "tick", "tick sawn 1 12.1", "tick cut x 12.1", "tick cut 98765432 12.1"])
def test_a_press_that_cannot_be_meant_records_nothing(as_fitter: Client, bench: Bench, act: str) -> None:
    answer = as_fitter.post(reverse("bench-tick", args=[bench.pk]), {"act": act}, follow=True)
    assert answer.status_code == 200
    assert "recorded" in answer.content.decode() or "no step" in answer.content.decode()
    assert not BenchTick.objects.exists()


def test_a_newer_revision_keeps_the_ticks_of_wires_that_did_not_change(
    as_fitter: Client, bench: Bench, sheet: CalcSheet, keep: Any
) -> None:
    through = [row["label"] for row in sheet.results["cut"] if "R9" in row["route"]]
    beside = next(row["label"] for row in sheet.results["cut"] if "R9" not in row["route"])
    for step in ("cut", "labelled", "laid"):
        press(as_fitter, bench, "tick", step, sheet, through[0])
        press(as_fitter, bench, "tick", step, sheet, beside)
    newer = keep(inputs(LONGER))
    page = as_fitter.get(newer.get_absolute_url())
    assert "from which the loom is being cut" in page.content.decode()
    assert {thing for thing, *_ in page.context["since_bench"]} == set(through)
    shown = as_fitter.post(reverse("bench-take", args=[newer.pk]), follow=True)
    assert ticks() == {(beside, step) for step in ("cut", "labelled", "laid")}
    changes = {change.label: change for change in BenchChange.objects.all()}
    assert set(changes) == set(through)
    assert changes[through[0]].lost == "cut, labelled, laid"
    assert "Pull the old wire out and cut a new one" in shown.content.decode()
    assert changes[through[1]].lost == ""


def test_what_changed_is_told_against_the_revision_that_is_cut_not_the_one_before(
    as_fitter: Client, bench: Bench, sheet: CalcSheet, keep: Any
) -> None:
    keep(inputs(LONGER))
    third = keep(inputs())  # back as it is at the bench
    page = as_fitter.get(third.get_absolute_url())
    assert page.context["since_bench"] == []
    assert len(page.context["changed"]) > 0


def test_a_wire_that_a_newer_revision_drops_is_to_be_pulled_out(
    as_fitter: Client, bench: Bench, sheet: CalcSheet, keep: Any, fitter: Any
) -> None:
    press(as_fitter, bench, "tick", "laid", sheet, "12.1")
    given = inputs()
    wires = {wire["label"] for wire in given["wires"]}
    given["wires"] = [wire for wire in given["wires"] if not wire["label"].startswith("12.")]
    given["components"] = [one for one in given["components"] if one["name"] != "Fan motor"]
    gone = wires - {wire["label"] for wire in given["wires"]}
    assert "12.1" in gone
    given["devices"] = [one for one in given["devices"] if one["name"] != "F12"]
    newer = keep(given)
    assert newer.results["faults"] == []
    page = as_fitter.post(reverse("bench-take", args=[newer.pk]), follow=True).content.decode()
    named = BenchChange.objects.filter(kind="gone")
    assert [(change.label, change.lost) for change in named] == [("12.1", "laid")]  # the only one laid
    assert "Pull it out" in page
    as_fitter.post(reverse("bench-change-seen", args=[bench.pk, named[0].pk]), {"act": "tick"})
    assert named.get().seen_by == fitter
    as_fitter.post(reverse("bench-change-seen", args=[bench.pk, named[0].pk]), {"act": "untick"})
    assert named.get().seen_at is None


def test_a_tick_on_a_wire_that_changed_meanwhile_is_told(
    as_fitter: Client, bench: Bench, sheet: CalcSheet, keep: Any
) -> None:
    through = next(row["label"] for row in sheet.results["cut"] if "R9" in row["route"])
    beside = next(row["label"] for row in sheet.results["cut"] if "R9" not in row["route"])
    as_fitter.post(reverse("bench-take", args=[keep(inputs(LONGER)).pk]))
    answer = press(as_fitter, bench, "tick", "cut", sheet, through, headers={"HX-Request": "true"})
    assert "is not as you saw it" in answer.content.decode()
    answer = press(as_fitter, bench, "tick", "cut", sheet, "no such wire", headers={"HX-Request": "true"})
    assert answer.headers["HX-Redirect"] == bench.get_absolute_url()
    press(as_fitter, bench, "tick", "cut", sheet, beside)
    assert ticks() == {(beside, "cut")}


def test_only_what_is_still_to_do_of_a_run_or_a_connector(
    as_fitter: Client, bench: Bench, sheet: CalcSheet
) -> None:
    through = [row["label"] for row in sheet.results["cut"] if "R9" in row["route"]]
    press(as_fitter, bench, "tick", "cut", sheet, through[0])
    page = as_fitter.get(bench.get_absolute_url(), {"still": "cut", "run": "R9"})
    assert [line.row.label for line in page.context["page"].shown] == through[1:]
    place = next(row["start"] for row in sheet.results["cut"] if "/" in row["start"]).partition("/")[0]
    page = as_fitter.get(bench.get_absolute_url(), {"connector": place, "still": "no such step"})
    assert {line.row.label for line in page.context["page"].shown} == {
        row["label"]
        for row in sheet.results["cut"]
        if place in (row["start"].partition("/")[0], row["end"].partition("/")[0])
    }
    answer = as_fitter.post(
        reverse("bench-tick", args=[bench.pk]) + "?run=R9", {"act": f"tick cut {sheet.pk} {through[1]}"}
    )
    assert "?run=R9#wire-" in answer.url


def read(client: Client, bench: Bench, sheet: CalcSheet, label: str, **typed: str) -> Any:
    address = reverse("bench-wire", args=[bench.pk, rows(sheet)[label]["order"]])
    return client.post(address, {"sheet": str(sheet.pk), "label": label} | typed, follow=True)


def test_a_reading_is_compared_with_the_standards_resistance_and_kept(
    as_fitter: Client, bench: Bench, sheet: CalcSheet, fitter: Any
) -> None:
    """R = 12.7, 7.60 or 4.71 mΩ/m (ISO 6722, a cable maker's table) times the cut length; V = I · R."""
    row = next(row for row in sheet.results["cut"] if row["size"] in ("1.5 mm²", "2.5 mm²", "4 mm²"))
    ohm = {"1.5 mm²": 0.0127, "2.5 mm²": 0.0076, "4 mm²": 0.00471}[row["size"]] * row["cut_mm"] / 1000
    volts = f"{5 * ohm * 1.01:.4f}".replace(".", ",")
    page = read(
        as_fitter,
        bench,
        sheet,
        row["label"],
        ohm=f"{1000 * ohm:.0f} mΩ",
        drop_v=volts,
        at_a="5 A",
        meter="four",
    )
    reading = BenchReading.objects.get()
    assert reading.ohm == pytest.approx(ohm, abs=0.0005)
    assert (reading.by, reading.size, reading.cut_mm) == (fitter, row["size"], row["cut_mm"])
    (compared,) = page.context["compared"]
    assert compared.passes
    assert compared.continuity.expected == pytest.approx(ohm)
    assert compared.drop.expected == pytest.approx(5 * ohm)
    read(as_fitter, bench, sheet, row["label"], drop_v=f"{5 * ohm * 3:.3f}", at_a="5")
    text = as_fitter.get(bench.get_absolute_url()).content.decode()
    assert text.count("look again") == 1


def test_ol_is_no_continuity_and_a_reading_can_be_taken_back(
    as_fitter: Client, bench: Bench, sheet: CalcSheet
) -> None:
    label = sheet.results["cut"][0]["label"]
    page = read(as_fitter, bench, sheet, label, ohm="OL")
    assert BenchReading.objects.get().is_open
    assert "No continuity" in page.content.decode()
    as_fitter.post(reverse("bench-reading-take-back", args=[bench.pk, BenchReading.objects.get().pk]))
    assert not BenchReading.objects.exists()


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({}, "ohm", "Give a resistance"),
        ({"ohm": "-0.1"}, "ohm", "less than nothing"),
        ({"ohm": "0.1 V"}, "ohm", "is in V"),
        ({"ohm": "about one"}, "ohm", "is not a number"),
        ({"drop_v": "0.2"}, "at_a", "give both"),
        ({"at_a": "5"}, "drop_v", "give both"),
        ({"drop_v": "0.2", "at_a": "0"}, "at_a", "more than 0 A"),
        ({"drop_v": "0.2", "at_a": "9000"}, "at_a", "2000 A at most"),
        ({"drop_v": "230", "at_a": "5"}, "drop_v", "60 V at most"),
        ({"drop_v": "1,234", "at_a": "5"}, "drop_v", "read two ways"),
        ({"ohm": "0.1", "meter": "magic"}, "meter", "valid choice"),
    ],
)
def test_a_reading_that_cannot_be_meant_is_not_kept(
    as_fitter: Client, bench: Bench, sheet: CalcSheet, typed: dict[str, str], field: str, words: str
) -> None:
    page = read(as_fitter, bench, sheet, sheet.results["cut"][0]["label"], **typed)
    assert words in " ".join(page.context["form"].errors[field])
    assert not BenchReading.objects.exists()


def test_a_reading_of_the_wire_before_is_shown_as_such_and_judges_nothing_now(
    as_fitter: Client, bench: Bench, sheet: CalcSheet, keep: Any
) -> None:
    label = next(row["label"] for row in sheet.results["cut"] if "R9" in row["route"])
    read(as_fitter, bench, sheet, label, ohm="OL")
    newer = keep(inputs(LONGER))
    as_fitter.post(reverse("bench-take", args=[newer.pk]))
    page = as_fitter.get(reverse("bench-wire", args=[bench.pk, rows(newer)[label]["order"]]))
    assert "Of the wire before a newer revision" in page.content.decode()
    assert "look again" not in as_fitter.get(bench.get_absolute_url()).content.decode()
    stale = read(as_fitter, bench, sheet, label, ohm="0.2")
    assert "is not as you saw it" in stale.content.decode()
    assert BenchReading.objects.count() == 1


def test_the_bench_needs_as_many_queries_for_one_tick_as_for_many(
    as_fitter: Client, bench: Bench, sheet: CalcSheet, django_assert_num_queries: Any
) -> None:
    """Session, person, workshop, bench, ticks, readings, changes."""
    for row in sheet.results["cut"][:20]:
        press(as_fitter, bench, "tick", "cut", sheet, row["label"])
    as_fitter.get(bench.get_absolute_url())  # shows what was said of the taking
    with django_assert_num_queries(7):
        as_fitter.get(bench.get_absolute_url())


def test_what_is_not_there_is_not_found(as_fitter: Client, bench: Bench) -> None:
    assert as_fitter.get(reverse("bench", args=[bench.pk + 1])).status_code == 404
    assert as_fitter.get(reverse("bench-wire", args=[bench.pk, 999])).status_code == 404
    for name, key in (("bench-change-seen", 5), ("bench-reading-take-back", 5)):
        assert as_fitter.post(reverse(name, args=[bench.pk, key])).status_code == 404

"""What the tables of a loom say of single things: tails, boxes, contacts, insulation, outputs."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engineering.models import CalcSheet
from tests.engineering.looms_typed import typed_pump


@pytest.fixture
def tried(as_fitter: Client, tern: Any, make_job: Any) -> Any:
    """Work out the boat pump with some cells changed; its context."""
    address = reverse("calc-sheet-try", args=[make_job(tern, "Build the loom").pk, "loom"])

    def work_out(**cells: str) -> Any:
        sent = typed_pump() | {key.replace("__", "-"): cell for key, cell in cells.items()}
        return as_fitter.post(address, sent).context

    return work_out


def messages(context: Any) -> str:
    return " ".join(fault["message"] for fault in context["shown"]["faults"])


def test_a_tail_and_a_service_loop_lengthen_their_wires(tried: Any) -> None:
    """Lengths add up: 3200.4 mm by the tape, 150 of tail at one end, 60 of loop; cut up to 10 mm."""
    plain = tried()["shown"]["cut"]
    longer = tried(places__3__tail_mm="15 cm", wires__0__loop_mm="60")["shown"]["cut"]
    assert {row["label"]: row["cut"] for row in plain} == {"out": "3210", "back": "3210"}
    assert {row["label"]: row["cut"] for row in longer} == {"out": "3420", "back": "3360"}


def test_a_box_is_not_given_more_than_it_bears(tried: Any) -> None:
    """Its one fuse feeds the pump of 10 A."""
    box = {"boxes__0__name": "Panel", "boxes__0__most_a": "8A", "devices__0__box": "Panel"}
    assert "Panel: its loads draw 10 A together, and it gives 8 A at most" in messages(tried(**box))
    assert messages(tried(**box | {"boxes__0__most_a": "12"})) == ""


def test_a_contact_is_not_given_more_than_it_bears(tried: Any) -> None:
    assert "the contact bears 8 A" in messages(tried(places__3__most_a="8"))
    assert messages(tried(places__3__most_a="20", places__3__largest_mm2="6")) == ""


def test_a_contact_takes_no_thicker_conductor_than_it_can(tried: Any) -> None:
    """10 AWG is what the chandler's table asks for: 5.26 mm² by ASTM B258."""
    assert "P/+" in messages(tried(places__3__largest_mm2="2.5"))


def test_one_wire_may_have_insulation_of_its_own(tried: Any) -> None:
    """Class A bears 85 °C, class C 125 °C (ISO 6722-1, from memory): in air of 80 °C one passes, not the
    other."""
    hot = {"runs__0__measured_c": "80", "insulation": "c"}
    assert messages(tried(**hot)) == ""
    assert "back" in messages(tried(**hot, wires__1__insulation="a"))


def test_a_supply_may_limit_itself(tried: Any) -> None:
    assert "gives 5 A at most" in messages(tried(places__0__limited_a="5"))


def test_an_output_trips_at_the_current_that_was_set(tried: Any) -> None:
    output = {
        "devices__0__kind": "electronic output",
        "devices__0__rating_a": "15",
        "devices__0__retries": "2",
    }
    context = tried(**output)
    assert messages(context) == ""
    assert {wire["fuse"] for wire in context["shown"]["wires"]} == {"F1, 15 A"}
    assert "F1" in messages(tried(**output | {"devices__0__rating_a": "8"}))


@pytest.mark.parametrize(
    ("cells", "table", "words"),
    [
        ({"boxes__0__name": "Panel"}, "boxes", "Line 1: Most current of all together: say what it is."),
        ({"boxes__0__name": "Panel", "boxes__0__most_a": "-5"}, "boxes", "Line 1: Panel: its total must be"),
        ({"devices__0__box": "Nowhere"}, "devices", "Line 1: F1: there is no box “Nowhere”"),
        ({"devices__0__retries": "1.5"}, "devices", "Line 1, Tries again: 1.5 is not a whole number"),
        ({"places__3__tail_mm": "9 m"}, "places", "Line 4: Connector P: the tail of 9000 mm is more than"),
        ({"wires__0__insulation": "silk"}, "wires", "Line 1, Insulation: insulation “silk” is not known"),
        ({"wires__0__loop_mm": "-20"}, "wires", "Line 1: Wire out: the service loop must be 0 or more"),
        ({"places__0__limited_a": "nan"}, "places", "Line 1, Limits itself to: “nan” is not a figure"),
    ],
)
def test_what_cannot_be_meant_names_its_line(tried: Any, cells: Any, table: str, words: str) -> None:
    assert words in " ".join(tried(**cells)["form"].errors[table])


def test_a_sheet_kept_before_there_were_boxes_still_opens_and_is_revised(
    as_fitter: Client, tern: Any, make_job: Any
) -> None:
    job = make_job(tern, "Build the loom")
    as_fitter.post(reverse("calc-sheet-new", args=[job.pk, "loom"]), typed_pump())
    sheet = CalcSheet.objects.get()
    newer = {"box", "retries", "tail_mm", "limited_a", "insulation", "loop_mm"}
    for name in ("places", "devices", "wires"):
        sheet.inputs[name] = [
            {key: cell for key, cell in row.items() if key not in newer} for row in sheet.inputs[name]
        ]
    sheet.inputs.pop("boxes", None)
    sheet.save()
    address = reverse("calc-sheet-revise", args=[sheet.pk])
    assert as_fitter.get(address).status_code == 200
    page = as_fitter.post(address, typed_pump(), follow=True)
    assert page.context["changed"] == []

"""The pages of calc sheets: make, try, see, revise, list."""

import pytest
from django.urls import reverse

from engineering.models import CalcSheet


@pytest.fixture
def new_tank(fuel_job) -> str:
    return reverse("calc-sheet-new", args=[fuel_job.pk, "tank"])


@pytest.fixture
def kept_tank(as_fitter, new_tank, typed_tank) -> CalcSheet:
    as_fitter.post(new_tank, typed_tank)
    return CalcSheet.objects.get()


def test_a_tank_is_sized_and_kept_on_the_job(as_fitter, new_tank, typed_tank, fuel_job, fitter):
    answer = as_fitter.post(new_tank, typed_tank, follow=True)
    sheet = CalcSheet.objects.get()
    assert answer.redirect_chain == [(reverse("calc-sheet", args=[sheet.pk]), 302)]
    assert (sheet.job, sheet.made_by, sheet.revision) == (fuel_job, fitter, 1)
    text = answer.content.decode()
    for words in (
        "43.20 L usable", "9.50 imperial gallons", "Main fuel tank", "Rafe Holloway", "Tern", "604 mm",
        "V = length",
        "Perry", "No tilt", "Never weld, cut, grind or drill", "This sheet does not show compliance",
    ):  # fmt: skip
        assert words in text


def test_a_circuit_is_sized_and_kept_on_the_job(as_fitter, lamp_job, typed_circuit):
    answer = as_fitter.post(
        reverse("calc-sheet-new", args=[lamp_job.pk, "circuit"]), typed_circuit, follow=True
    )
    text = answer.content.decode()
    for words in (
        "4 mm² wire, 15 A blade fuse", "The voltage drop sets the size: 3 mm² would drop", "limit 3 %",
        "9.2 A", "IEC 60028", "Disconnect the battery", "This sheet does not show compliance",
    ):  # fmt: skip
        assert words in text


@pytest.mark.parametrize("client_name", ["as_fitter", "as_manager"])
def test_both_roles_may_open_every_page(client_name, request, fuel_job, kept_tank):
    client = request.getfixturevalue(client_name)
    for address in (
        reverse("calc-sheet-list", args=[fuel_job.pk]),
        reverse("calc-sheet-new", args=[fuel_job.pk, "tank"]),
        reverse("calc-sheet-new", args=[fuel_job.pk, "circuit"]),
        reverse("calc-sheet", args=[kept_tank.pk]),
        reverse("calc-sheet-revise", args=[kept_tank.pk]),
    ):
        assert client.get(address).status_code == 200, address


def test_nobody_else_may(client, workshop, fuel_job):
    answer = client.get(reverse("calc-sheet-list", args=[fuel_job.pk]))
    assert answer.status_code == 302
    assert answer.url.startswith(reverse("sign-in"))


def test_trying_shows_the_result_and_keeps_nothing(as_fitter, fuel_job, typed_tank):
    answer = as_fitter.post(reverse("calc-sheet-try", args=[fuel_job.pk, "tank"]), typed_tank)
    text = answer.content.decode()
    assert "Result, not kept yet" in text
    assert "43.20 L usable" in text
    assert 'value="604"' in text
    assert not CalcSheet.objects.exists()


def test_a_decimal_comma_is_understood(as_fitter, new_tank, typed_tank):
    as_fitter.post(new_tank, typed_tank | {"thickness_mm": "2,5"})
    assert CalcSheet.objects.get().inputs["thickness_mm"] == 2.5


def test_a_lying_tank_needs_no_width_and_forgets_what_another_shape_left(as_fitter, new_tank, typed_tank):
    as_fitter.post(new_tank, typed_tank | {"shape": "lying", "diameter_mm": "350", "width_mm": "rubbish"})
    sheet = CalcSheet.objects.get()
    assert sheet.inputs["diameter_mm"] == 350
    assert not {"width_mm", "height_mm"} & sheet.inputs.keys()


TANK_REFUSALS = [
    ({"title": ""}, "title", "Title of the sheet: give it one"),
    ({"title": "x" * 121}, "title", "at most 120"),
    ({"shape": "pyramid"}, "shape", "not one of the available choices"),
    ({"length_mm": ""}, "length_mm", "Length: give it in mm."),
    ({"length_mm": "0"}, "length_mm", "Length: must be more than 0 mm"),
    ({"length_mm": "-604"}, "length_mm", "Length: must be more than 0 mm"),
    ({"length_mm": "60 cm"}, "length_mm", "is not a number in mm"),
    ({"length_mm": "60000"}, "length_mm", "more than 5000 mm"),
    ({"height_mm": "3"}, "thickness_mm", "leaves no inside in a height of 3 mm"),
    ({"liquid": "custard"}, "liquid", "not one of the available choices"),
    ({"foam": "sponge"}, "foam", "not one of the available choices"),
    ({"expansion_percent": "90"}, "expansion_percent", "outside 0 to 50 %"),
    ({"hottest_c": "500"}, "hottest_c", "outside -20 to 80 °C for petrol"),
    ({"hottest_c": "10"}, "hottest_c", "below the 15 °C"),
    ({"pickup_mm": "200"}, "pickup_mm", "at or above the roof"),
    ({"dip_step_mm": "0,1"}, "dip_step_mm", "more than 400 lines"),
    ({"shape": "upright", "diameter_mm": ""}, "diameter_mm", "Diameter: give it in mm."),
]


@pytest.mark.parametrize(("change", "field", "words"), TANK_REFUSALS)
def test_a_tank_that_cannot_be_is_refused_at_its_field(as_fitter, new_tank, typed_tank, change, field, words):
    answer = as_fitter.post(new_tank, typed_tank | change)
    assert answer.status_code == 200
    assert list(answer.context["form"].errors) == [field]
    assert words in answer.context["form"].errors[field][0]
    assert f'id="id_{field}' in answer.content.decode()
    assert not CalcSheet.objects.exists()


CIRCUIT_REFUSALS = [
    ({"system_v": "230"}, "system_v", "not one of the available choices"),
    ({"current_a": "0"}, "current_a", "must be 0.01 A or more"),
    ({"current_a": "900", "load": "motor"}, "current_a", "more than 100 A"),
    ({"length_m": "-4"}, "length_m", "more than 0 m"),
    ({"length_m": "4000"}, "length_m", "longer than any car"),
    ({"length_m": "400 cm"}, "length_m", "is not a number in m"),
    ({"ambient_c": "95"}, "ambient_c", "no room to warm up"),
    ({"drop_limit_percent": ""}, "drop_limit_percent", "in per cent or in volts"),
    ({"drop_limit_v": "0,3"}, "drop_limit_v", "not both"),
    ({"drop_limit_percent": "99"}, "drop_limit_percent", "give 0.5 to 15 %"),
    ({"body_allowance_v": ""}, "body_allowance_v", "Allowance for the body: give it in V."),
    ({"body_allowance_v": "1"}, "body_allowance_v", "leaves nothing"),
    ({"other_wires": "1,5"}, "other_wires", "not a whole number"),
    ({"other_wires": "80"}, "other_wires", "more than 40"),
    ({"current_a": "50", "length_m": "50"}, "length_m", "No wire passes"),
]


@pytest.mark.parametrize(("change", "field", "words"), CIRCUIT_REFUSALS)
def test_a_circuit_that_cannot_be_is_refused_at_its_field(
    as_fitter, lamp_job, typed_circuit, change, field, words
):
    answer = as_fitter.post(reverse("calc-sheet-new", args=[lamp_job.pk, "circuit"]), typed_circuit | change)
    assert answer.status_code == 200
    assert list(answer.context["form"].errors) == [field]
    assert words in answer.context["form"].errors[field][0]
    assert not CalcSheet.objects.exists()


def test_an_empty_form_names_each_field_that_is_needed(as_fitter, new_tank):
    answer = as_fitter.post(new_tank, {})
    assert {"title", "shape", "measured", "thickness_mm", "metal", "liquid"} <= answer.context[
        "form"
    ].errors.keys()
    assert not CalcSheet.objects.exists()


def test_a_title_with_html_in_it_is_only_text(as_fitter, new_tank, typed_tank):
    answer = as_fitter.post(new_tank, typed_tank | {"title": "<script>alert(1)</script>"}, follow=True)
    assert "<script>alert(1)" not in answer.content.decode()
    assert "&lt;script&gt;alert(1)" in answer.content.decode()


def test_a_revision_starts_from_the_figures_before_it(as_fitter, kept_tank):
    text = as_fitter.get(reverse("calc-sheet-revise", args=[kept_tank.pk])).content.decode()
    for figure in ("604", "404", "204"):
        assert f'value="{figure}"' in text


def test_a_revision_is_kept_beside_the_first(as_manager, kept_tank, typed_tank, manager):
    answer = as_manager.post(
        reverse("calc-sheet-revise", args=[kept_tank.pk]),
        typed_tank | {"pickup_mm": "20", "title": "Another name"},
        follow=True,
    )
    second = CalcSheet.objects.get(revision=2)
    assert (second.title, second.made_by) == ("Main fuel tank", manager)
    assert "40.80 L usable" in answer.content.decode()
    first_page = as_manager.get(kept_tank.get_absolute_url()).content.decode()
    assert "43.20 L usable" in first_page
    assert "This is an old revision" in first_page


def test_trying_a_revision_keeps_nothing(as_fitter, kept_tank, typed_tank):
    address = reverse("calc-sheet-revise-try", args=[kept_tank.pk])
    text = as_fitter.post(address, typed_tank | {"pickup_mm": "20"}).content.decode()
    assert "40.80 L usable" in text
    assert CalcSheet.objects.count() == 1


def test_the_second_of_two_people_revising_is_told(as_fitter, as_manager, kept_tank, typed_tank):
    address = reverse("calc-sheet-revise", args=[kept_tank.pk])
    as_manager.post(address, typed_tank | {"pickup_mm": "20"})
    answer = as_fitter.post(address, typed_tank | {"pickup_mm": "30"})
    assert answer.status_code == 200
    assert "Maud Ellery saved revision 2" in answer.content.decode()
    assert CalcSheet.objects.count() == 2
    assert not CalcSheet.objects.filter(inputs__pickup_mm=30).exists()


def test_the_list_shows_the_newest_revision_of_each_sheet_in_one_query(
    as_fitter, fuel_job, kept_tank, new_tank, typed_tank, django_assert_num_queries
):
    as_fitter.post(reverse("calc-sheet-revise", args=[kept_tank.pk]), typed_tank | {"pickup_mm": "20"})
    as_fitter.post(new_tank, typed_tank | {"title": "Swirl pot"})
    answer = as_fitter.get(reverse("calc-sheet-list", args=[fuel_job.pk]))
    assert [(sheet.title, sheet.revision) for sheet in answer.context["sheets"]] == [
        ("Main fuel tank", 2),
        ("Swirl pot", 1),
    ]
    with django_assert_num_queries(1):
        assert [sheet.made_by.name for sheet in CalcSheet.objects.newest_of_each(fuel_job)] == [
            "Rafe Holloway"
        ] * 2


def test_a_job_without_sheets_says_what_to_do(as_fitter, fuel_job):
    text = as_fitter.get(reverse("calc-sheet-list", args=[fuel_job.pk])).content.decode()
    assert "No calc sheet on this job yet" in text
    assert "New tank sheet" in text
    assert "New circuit sheet" in text


@pytest.mark.parametrize(
    "address", ["/jobs/999999/calc/", "/jobs/999999/calc/tank/new/", "/calc/999999/", "/calc/999999/print/"]
)
def test_what_is_not_there_is_not_found(as_fitter, workshop, address):
    assert as_fitter.get(address).status_code == 404


def test_an_unknown_kind_is_not_found(as_fitter, fuel_job):
    assert as_fitter.get(reverse("calc-sheet-new", args=[fuel_job.pk, "bridge"])).status_code == 404


def test_no_page_carries_a_style_of_its_own(as_fitter, kept_tank):
    """The content policy forbids inline styles: a drawing that relied on one would lose it."""
    for name in ("calc-sheet", "calc-sheet-revise"):
        assert 'style="' not in as_fitter.get(reverse(name, args=[kept_tank.pk])).content.decode()


def test_the_drawings_say_in_words_what_they_show(as_fitter, kept_tank):
    text = as_fitter.get(kept_tank.get_absolute_url()).content.decode()
    assert "Outside length 604 mm × width 404 mm × height 204 mm; filled to 190 mm above" in text
    assert "Litres against depth, from 0 L at 0 mm to 48.0 L at 200 mm" in text


@pytest.mark.parametrize(
    ("liquid", "words"),
    [("coolant", "expansion of the whole system"), ("engine_oil", "about a third of it air")],
)
def test_a_tank_that_is_not_for_fuel_says_what_it_needs_besides(
    as_fitter, new_tank, typed_tank, liquid, words
):
    text = as_fitter.post(new_tank, typed_tank | {"liquid": liquid}, follow=True).content.decode()
    assert words in text
    assert "Petrol vapour" not in text


def test_forty_eight_volts_warns_of_the_usual_fuse(as_fitter, lamp_job, typed_circuit):
    address = reverse("calc-sheet-new", args=[lamp_job.pk, "circuit"])
    assert (
        "cannot break it"
        in as_fitter.post(address, typed_circuit | {"system_v": "48"}, follow=True).content.decode()
    )
    assert (
        "cannot break it"
        not in as_fitter.post(address, typed_circuit | {"title": "Other"}, follow=True).content.decode()
    )


def test_sides_are_named_in_the_same_order_whatever_the_database_gives(as_fitter, kept_tank):
    """PostgreSQL keeps the names of a JSON object by their length: width before height and length."""
    turned = {**kept_tank.results}
    for name in ("inside", "outside"):
        turned[name] = dict(sorted(turned[name].items(), key=lambda side: (len(side[0]), side[0])))
    kept_tank.results = turned
    kept_tank.save()

    text = as_fitter.get(kept_tank.get_absolute_url()).content.decode()

    assert "Outside length 604 mm × width 404 mm × height 204 mm" in text
    assert "Inside 600 × 400 × 200 mm" in text

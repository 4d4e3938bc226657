"""Axles, corners and centre of gravity against printed exercises and against an independent solution."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engineering.weight import Item, Swap, WeightInputError, Wheels, balance, change, chosen, levers

TRACK_MM = 1300.0
G_TEXTBOOK = 9.81  # as the sources below use it, not the standard 9.80665


def car(mass_kg: float, x_mm: float, wheelbase_mm: float) -> tuple[list[Item], Wheels]:
    return [Item("car", mass_kg, x_mm, 0, 500)], Wheels(wheelbase_mm, TRACK_MM, TRACK_MM)


@pytest.mark.parametrize(
    ("mass_kg", "wheelbase_mm", "x_mm", "g", "front_n", "rear_n", "front_half_digit", "rear_half_digit"),
    [
        # a solved exercise as published (read): 3830 N and 887 N for each wheel, rounded to 10 N and 1 N
        (961, 3270, 615, G_TEXTBOOK, 3830, 887, 5, 0.5),
        # Halliday, Resnick, Walker, 'Fundamentals of Physics', ch. 12 (from memory): 2.77 kN and 3.89 kN
        (1360, 3050, 1780, 9.8, 2770, 3890, 5, 5),
        # R. N. Jazar, 'Vehicle Dynamics', example in ch. 2 (from memory): 2916.5 N and 1449.0 N
        (890, 2350, 780, G_TEXTBOOK, 2916.5, 1449.0, 0.05, 0.05),
    ],
)
def test_load_on_each_wheel_of_a_printed_exercise(
    mass_kg: float,
    wheelbase_mm: float,
    x_mm: float,
    g: float,
    front_n: float,
    rear_n: float,
    front_half_digit: float,
    rear_half_digit: float,
) -> None:
    found = balance(*car(mass_kg, x_mm, wheelbase_mm)).corners
    assert found.front_left * g == pytest.approx(front_n, abs=front_half_digit)
    assert found.front_right == pytest.approx(found.front_left)
    assert found.rear_left * g == pytest.approx(rear_n, abs=rear_half_digit)


def test_a_load_on_a_lorry_as_its_maker_prints_it() -> None:
    # A body-builder manual (read): 100 lb at 133 in of a wheelbase of 214 in puts 62.14 lb on the rear. Its
    # front figure, 38.86 lb, is a slip: with 62.14 it makes 101 lb.
    found = balance(*car(100, 133 * 25.4, 214 * 25.4)).corners
    assert found.rear == pytest.approx(62.14, abs=0.01)
    assert found.front == pytest.approx(37.86, abs=0.01)


def test_fuel_behind_the_rear_axle_lightens_the_front() -> None:
    # 60 L at 745 kg/m³, half a metre behind the axle: law of the lever, worked by hand
    items, wheels = car(900, 1100, 2400)
    found = change(items, [*items, Item("fuel", 60 * 0.745, 2900, 0, 450)], wheels)
    assert found.corners.front == pytest.approx(-44.7 * 500 / 2400)
    assert found.corners.rear == pytest.approx(44.7 * 2900 / 2400)
    assert found.mass_kg == pytest.approx(44.7)


PLACES = st.builds(
    Item,
    name=st.uuids().map(str),
    mass_kg=st.floats(0.1, 500),
    x_mm=st.floats(-1000, 3500),
    y_mm=st.floats(-800, 800),
    z_mm=st.floats(0, 1500),
)
LISTS = st.lists(PLACES, min_size=1, max_size=30)
WHEELS = st.builds(Wheels, st.floats(1500, 4000), st.floats(900, 1700), st.floats(900, 1700))


@given(items=LISTS, wheels=WHEELS)
def test_corners_are_those_of_least_strain_and_balance(items: list[Item], wheels: Wheels) -> None:
    """Of all loads in balance, four equal springs take those with the least energy: numpy's least squares
    gives the smallest solution of the three equations of balance, without knowing ours."""
    found = balance(items, wheels)
    base, front, rear = wheels.wheelbase_mm, wheels.track_front_mm / 2, wheels.track_rear_mm / 2
    equations = np.array([[1, 1, 1, 1], [0, 0, base, base], [-front, front, -rear, rear]])
    masses = np.array([item.mass_kg for item in items])
    moments = [masses.sum(), masses @ [item.x_mm for item in items], masses @ [item.y_mm for item in items]]
    expected = np.linalg.lstsq(equations, np.array(moments), rcond=None)[0]
    corners = found.corners
    loads = [corners.front_left, corners.front_right, corners.rear_left, corners.rear_right]
    assert loads == pytest.approx(expected.tolist(), rel=1e-9, abs=1e-6)


@given(items=LISTS, wheels=WHEELS)
def test_centre_of_gravity_is_the_weighted_average(items: list[Item], wheels: Wheels) -> None:
    found = balance(items, wheels)
    masses = [item.mass_kg for item in items]
    for axis in ("x_mm", "y_mm", "z_mm"):
        expected = np.average([getattr(item, axis) for item in items], weights=masses)
        assert getattr(found, axis) == pytest.approx(expected, rel=1e-9, abs=1e-6)


@given(items=LISTS, wheels=WHEELS, far=st.floats(-400, 400))
def test_moving_one_item_moves_the_whole_by_its_share(items: list[Item], wheels: Wheels, far: float) -> None:
    one = items[0]
    assume(one.x_mm + far < wheels.wheelbase_mm + 2000)
    found = change(items, chosen(items, [Swap(one.name, x_mm=one.x_mm + far)]), wheels)
    assert found.shift_mm[0] == pytest.approx(far * one.mass_kg / found.before.mass_kg, abs=1e-6)
    assert found.corners.rear == pytest.approx(one.mass_kg * far / wheels.wheelbase_mm, abs=1e-6)
    assert found.mass_kg == pytest.approx(0, abs=1e-9)


LB, INCH = 0.45359237, 25.4


def test_cargo_shifted_as_the_faa_prints_it() -> None:
    """FAA-H-8083-25, Pilot's Handbook of Aeronautical Knowledge, weight and balance, sample problem (read in
    a quotation): 7,800 lb with the centre at 81.5 in; 65 lb from station 150 to station 30 bring it to the
    limit at 80.5 in."""
    rest = (7800 * 81.5 - 65 * 150) / 7735
    loaded = [Item("aeroplane", 7735 * LB, rest * INCH, 0, 500), Item("cargo", 65 * LB, 150 * INCH, 0, 500)]
    wheels = Wheels(4000, TRACK_MM, TRACK_MM)
    found = change(loaded, chosen(loaded, [Swap("Cargo", x_mm=30 * INCH)]), wheels)
    assert found.before.x_mm / INCH == pytest.approx(81.5)
    assert found.after.x_mm / INCH == pytest.approx(80.5)
    assert found.mass_kg == pytest.approx(0)
    # an inch for 120 inches
    lever = levers(loaded, wheels)[1]
    assert (lever.name, lever.shift_mm) == ("cargo", pytest.approx(100 * 1.0 / 120))


@given(items=LISTS, wheels=WHEELS)
def test_a_lever_is_what_moving_the_item_does(items: list[Item], wheels: Wheels) -> None:
    """Apart from the formula: each item is moved, and the whole is balanced anew."""
    for item, lever in zip(items, levers(items, wheels), strict=True):
        by = -100 if item.x_mm > 0 else 100
        moved = change(items, chosen(items, [Swap(item.name, x_mm=item.x_mm + by)]), wheels)
        assert abs(moved.shift_mm[0]) == pytest.approx(lever.shift_mm, abs=1e-6)
        assert abs(moved.corners.rear) == pytest.approx(lever.axle_kg, abs=1e-6)


def test_a_choice_moves_replaces_takes_off_and_puts_on() -> None:
    listed = [
        Item("car", 800, 1100, 0, 500),
        Item("Battery", 15, 100, -300, 700),
        Item("Jack", 4, 2900, 0, 400),
    ]
    swaps = [
        Swap("battery ", x_mm=2800),
        Swap("CAR", mass_kg=790),
        Swap("jack", mass_kg=0),
        Swap("Heater", 6, 500, 0, 800),
    ]
    assert chosen(listed, swaps) == [
        Item("car", 790, 1100, 0, 500),
        Item("Battery", 15, 2800, -300, 700),
        Item("Jack", 0, 2900, 0, 400),
        Item("Heater", 6, 500, 0, 800),
    ]


@pytest.mark.parametrize(
    ("swaps", "field", "words"),
    [
        ([Swap("Heater", 6, 500)], "swaps[0].mass_kg", "is not on the list: .* right of the middle, height"),
        ([Swap("car"), Swap("Car", 5)], "swaps[1].name", "stands twice in this choice"),
    ],
)
def test_a_choice_that_cannot_be_meant_is_refused(swaps: list[Swap], field: str, words: str) -> None:
    with pytest.raises(WeightInputError, match=words) as refused:
        chosen([Item("car", 800, 1100, 0, 500)], swaps)
    assert refused.value.field == field


def test_a_wheel_that_would_lift_is_named() -> None:
    items, wheels = car(900, 2600, 2400)
    assert balance(items, wheels).lifted == ("front left", "front right")


@pytest.mark.parametrize(
    ("item", "field", "words"),
    [
        (Item("engine", -160, 100, 0, 500), "items[0].mass_kg", "not a mass"),
        (Item("engine", 160_000, 100, 0, 500), "items[0].mass_kg", "Check the unit: kg"),
        (Item("engine", float("nan"), 100, 0, 500), "items[0].mass_kg", "not a number"),
        (Item("engine", 160, 100_000, 0, 500), "items[0].x_mm", "outside -2500 to 4900 mm"),
        (Item("engine", 160, 100, 2000, 500), "items[0].y_mm", "outside -1500 to 1500 mm"),
        (Item("engine", 160, 100, 0, -5), "items[0].z_mm", "outside 0 to 3000 mm"),
        (Item("  ", 160, 100, 0, 500), "items[0].name", "has no name"),
        (Item("engine", 0, 100, 0, 500), "items", "Nothing on the list weighs anything"),
    ],
)
def test_what_cannot_be_meant_is_refused_by_name(item: Item, field: str, words: str) -> None:
    with pytest.raises(WeightInputError, match=words) as refused:
        balance([item], Wheels(2400, TRACK_MM, TRACK_MM))
    assert refused.value.field == field


def test_an_empty_list_and_a_name_twice_are_refused() -> None:
    wheels = Wheels(2400, TRACK_MM, TRACK_MM)
    with pytest.raises(WeightInputError, match="list is empty"):
        balance([], wheels)
    with pytest.raises(WeightInputError, match="stands on line 1 too"):
        balance([Item("Battery", 14, 0, 0, 500), Item("battery ", 14, 9, 0, 500)], wheels)


@pytest.mark.parametrize(("wheelbase", "front"), [(2.4, 1300), (24_000, 1300), (2400, 0), (2400, -1300)])
def test_wheels_that_are_no_car_are_refused(wheelbase: float, front: float) -> None:
    with pytest.raises(WeightInputError, match="Check the unit"):
        Wheels(wheelbase, front, 1300)

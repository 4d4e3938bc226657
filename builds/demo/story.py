"""The day itself: what is late, held, rejected and promised, laid over the histories of four cars."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from builds.models import (
    Absence,
    Area,
    Away,
    Car,
    Customer,
    Decision,
    Job,
    Milestone,
    MilestonePromise,
    Person,
)
from builds.network import load_workshop
from builds.network.model import Model
from builds.network.rows import read_rows
from builds.services.start import car_start_from_template
from engineering.forms import CircuitForm, TankForm
from engineering.services import calc_sheet_save
from parts.models import FinishingBatch, Operation, Part, Supplier, SupplierPromise
from parts.services.files import file_add
from parts.services.operations import operation_reject, operation_send

from .cast import CUSTOMERS, WHO_DOES_WHAT
from .history import car_history
from .lots import lots_that_wait
from .pictures import car_picture, drawing_picture, part_picture
from .recording import record_history
from .surfaces import surfaces_known

FAR_OFF = timedelta(days=120)  # a held line's own history is written by hand below


@dataclass(frozen=True)
class DemoCar:
    name: str
    description: str
    place: str
    days_in: int  # working days since it came
    held: tuple[tuple[str, str], ...] = ()  # (part, process key) whose history is written by hand


ZINC = "zinc_plate"
ZINC_PARTS = (
    "Fuel tank straps",
    "Oil tank mounts",
    "Oil cooler mounts",
    "Radiator mounts",
    "Gearbox mount",
    "Handbrake lever",
    "Chassis fasteners",
)
LATE_PIECE = "Gear linkage rods"

CARS = (
    DemoCar("Tern", "1966 two-door fastback", "bay 2, on axle stands", 150, (("Radiator", "fabricate"),)),
    DemoCar(
        "Skua",
        "1971 open two-seater",
        "bay 1, on the lift",
        106,
        (
            *((name, ZINC) for name in ZINC_PARTS),
            (LATE_PIECE, "supply"),
            (LATE_PIECE, ZINC),
            ("Oil tank", "anodise_decorative"),
        ),
    ),
    DemoCar("Gannet", "1959 four-door saloon", "bay 3", 29),
    DemoCar("Petrel", "1968 estate", "bay 4, bare shell on trestles", 9),
)


class Day:
    """Working days counted from today."""

    def __init__(self, today: date) -> None:
        self.today = today
        self.shop = Model(read_rows(), today).shop

    def at(self, working_days: int, since: date | None = None) -> date:
        """The working day so many after today, or after another day (before it, if negative)."""
        day, left = since or self.today, abs(working_days)
        step = timedelta(days=1 if working_days > 0 else -1)
        while left > 0:
            day += step
            left -= self.shop.days_between(day, day + timedelta(days=1))
        return day


def tell(today: date, people: Mapping[str, Person], suppliers: Mapping[str, Supplier]) -> None:
    """Make the four cars and all that stands with them on this day."""
    day = Day(today)
    manager = people["Maud Ellery"]
    who = {key: suppliers[name] for key, name in WHO_DOES_WHAT.items()}
    cars = {}
    for shown in CARS:
        car = _car(shown, day, manager, who)
        held = {f"op:{_line(car, part, process).pk}": today + FAR_OFF for part, process in shown.held}
        history = car_history(car.pk, day.at(-shown.days_in), held)
        record_history(car, history, today, list(people.values()), suppliers)
        cars[shown.name] = car
    _late_radiator(cars["Tern"], day, manager)
    _zinc_batch(cars, day, suppliers, manager)
    _rejected_oil_tank(cars["Skua"], day, manager)
    _car_away(cars["Gannet"], day, suppliers)
    _decisions(cars, day, people)
    Absence.objects.create(
        person=people["Wren Abara"], first_day=day.at(4), last_day=day.at(6), reason="training course"
    )
    _still_to_order(day)
    lots_that_wait(cars, day, suppliers, manager)
    surfaces_known()
    _promises(cars, day, manager)
    _waits_for_signature(cars["Tern"], day, people)
    _earlier_cars(day, manager)
    _pictures(cars, day, people)
    _calc_sheets(cars, day, people)


def _car(shown: DemoCar, day: Day, manager: Person, who: Mapping[str, Supplier]) -> Car:
    name, phone = CUSTOMERS[shown.name]
    customer = Customer.objects.create(name=name, phone=phone)
    came = day.at(-shown.days_in)
    car = car_start_from_template(
        name=shown.name,
        description=shown.description,
        customer=customer,
        by=manager,
        today=came,
        suppliers=who,
    )
    car.place = shown.place
    car.save(update_fields=["place"])
    return car


def _line(car: Car, part: str, process: str) -> Operation:
    return Operation.objects.get(part__car=car, part__name=part, process__key=process)


def _late_radiator(tern: Car, day: Day, manager: Person) -> None:
    """Out for weeks, three days past its promise, and a new day given that breaks the customer's date."""
    radiator = _line(tern, "Radiator", "fabricate")
    first, second = day.at(-3), day.at(10)
    radiator.sent_on, radiator.promised_on = day.at(-19), first
    radiator.save(update_fields=["sent_on", "promised_on"])
    SupplierPromise.objects.create(
        operation=radiator, promised_on=first, made_on=day.at(-19), by=manager, note="when ordered"
    )
    SupplierPromise.objects.create(
        operation=radiator,
        promised_on=second,
        made_on=day.at(-1),
        by=manager,
        note="Petra: waiting for a welder",
    )
    radiator.promised_on = second
    radiator.save(update_fields=["promised_on"])


def _zinc_batch(
    cars: Mapping[str, Car], day: Day, suppliers: Mapping[str, Supplier], manager: Person
) -> None:
    """Seven ready pieces of Skua's wait for one that its seller is late with."""
    skua = cars["Skua"]
    late = _line(skua, LATE_PIECE, "supply")
    first, second = day.at(-6), day.at(12)
    late.sent_on, late.promised_on = day.at(-18), second
    late.save(update_fields=["sent_on", "promised_on"])
    for promised, made, note in (
        (first, day.at(-18), "when ordered"),
        (second, day.at(-5), "out of stock at the maker"),
    ):
        SupplierPromise.objects.create(
            operation=late, promised_on=promised, made_on=made, by=manager, note=note
        )
    # The rods go with the others but their own job can wait: the count-in need not wait for them.
    late.part.job_needs.filter(job__key="finish-steel-check").delete()
    batch = FinishingBatch.objects.create(
        supplier=suppliers["Ferrand Plating"],
        process=_line(skua, LATE_PIECE, ZINC).process,
        colour="clear",
        coating_class="8 µm, passivated",
        note="One lot: the fasteners must match.",
    )
    lines = Operation.objects.filter(
        part__car=skua, process__key=ZINC, part__name__in=(*ZINC_PARTS, LATE_PIECE)
    )
    lines.update(batch=batch, supplier=batch.supplier)


def _rejected_oil_tank(skua: Car, day: Day, manager: Person) -> None:
    """Back from the anodiser yesterday in the wrong shade; it must go again."""
    line = _line(skua, "Oil tank", "anodise_decorative")
    operation_send(operation=line, on=day.at(-12), by=manager, promised_on=day.at(-1))
    line.refresh_from_db()
    operation_reject(
        operation=line,
        on=day.at(-1),
        by=manager,
        reason="two shades darker than the sample; the weld shows as a grey band",
    )


def _car_away(gannet: Car, day: Day, suppliers: Mapping[str, Supplier]) -> None:
    Away.objects.create(
        car=gannet,
        supplier=suppliers["Plumbline Chassis Alignment"],
        what_for="chassis alignment",
        leaves_on=day.at(-3),
        due_back_on=day.at(6),
    )
    Job.objects.of_car(gannet.pk).in_hand().filter(place=Job.Place.ON_CAR).update(
        started_at=None, started_by=None
    )


def _decisions(cars: Mapping[str, Car], day: Day, people: Mapping[str, Person]) -> None:
    manager = people["Maud Ellery"]
    raised = timezone.make_aware(datetime.combine(day.at(-2), time(9)))
    Decision.objects.create(
        job=Job.objects.get(car=cars["Skua"], key="dash-build"),
        question="Dial layout: two large and four small, or six of one size?",
        owed_by="customer",
        due_on=day.at(3),
        raised_by=manager,
        raised_at=raised,
    )
    Decision.objects.create(
        job=Job.objects.get(car=cars["Petrel"], key="shell-spec"),
        question="Fuel tank behind the seats or under the boot floor?",
        owed_by="us",
        person=manager,
        due_on=day.at(1),
        raised_by=people["Tomas Kell"],
        raised_at=raised,
    )


def _still_to_order(day: Day) -> None:
    """Leave unordered what was bought lately or is on order and must be ordered within the fortnight."""
    bought = Operation.objects.filter(process__kind="supply", sent_on__gte=day.at(-15))
    lately = list(bought.exclude(part__name=LATE_PIECE).exclude(part__job_needs__job__done_at__isnull=False))
    written = {line.pk: (line.sent_on, line.promised_on, line.back_on, line.result) for line in lately}
    for line in lately:
        line.sent_on = line.promised_on = line.back_on = None
        line.result = ""
    fields = ["sent_on", "promised_on", "back_on", "result"]
    Operation.objects.bulk_update(lately, fields)
    facts = load_workshop(day.today).facts()
    for line in lately:
        order_by = facts.operations[line.pk].order_by
        if order_by is None or not day.at(1) < order_by <= day.at(10):
            line.sent_on, line.promised_on, line.back_on, line.result = written[line.pk]
    Operation.objects.bulk_update(lately, fields)


# Working days between what the network says today and what the customer was told: short where positive. The
# cars in hand were promised with the people there are in mind, so theirs are counted from the even chance.
SHORT_BY = {"Tern": 5, "Skua": -8, "Gannet": -15, "Petrel": -20}
# What the forecast said when each was promised: working days before the promise (negative: after it) on which
# the even chance and the four in five stood. Petrel was promised more hopefully than four in five.
FORECAST_THEN = {"Tern": (10, 3), "Skua": (12, 4), "Gannet": (18, 6), "Petrel": (9, -4)}


def _promises(cars: Mapping[str, Car], day: Day, manager: Person) -> None:
    facts = load_workshop(day.today).facts()
    for name, car in cars.items():
        start_up = facts.cars[car.pk].first_start_up
        if start_up is None or start_up.on is None:
            raise RuntimeError(f"{name} has no first start-up: {facts.problems}")
        MilestonePromise.objects.create(
            milestone=Milestone.objects.get(pk=start_up.milestone_id),
            promised_on=day.at(-SHORT_BY[name], since=start_up.on),
            given_on=car.arrived_on or day.today,
            reason="agreed when the car came in",
            by=manager,
        )
    dated = load_workshop(day.today).dated()
    for name, car in cars.items():
        start_up = dated.cars[car.pk].first_start_up
        if SHORT_BY[name] < 0 and start_up is not None and start_up.window is not None:
            kept = day.at(-SHORT_BY[name], since=start_up.window.even_chance)
            MilestonePromise.objects.filter(milestone=start_up.milestone_id).update(promised_on=kept)
    given = MilestonePromise.objects.filter(milestone__car__in=cars.values())
    for promise in given.select_related("milestone__car"):
        even, four = FORECAST_THEN[promise.milestone.car.name]
        promise.even_chance_on = day.at(-even, since=promise.promised_on)
        promise.four_in_five_on = day.at(-four, since=promise.promised_on)
        promise.save(update_fields=["even_chance_on", "four_in_five_on"])


DRAWN_PARTS = ("Gear linkage rods", "Chassis fasteners", "Radiator mounts", "Oil tank", "Fuel tank straps")


def _pictures(cars: Mapping[str, Car], day: Day, people: Mapping[str, Person]) -> None:
    """A photo of each car and of some parts; a fuel tank drawing that changed after the tank went out."""
    by = people["Rafe Holloway"]
    at = timezone.make_aware(datetime.combine(day.at(-2), time(16)))
    for name, car in cars.items():
        file_add(kind="photo", upload=car_picture(name), title=f"{name} this week", car=car, by=by, at=at)
    for part in Part.objects.filter(car=cars["Skua"], name__in=DRAWN_PARTS):
        picture = part_picture(part.name, part.quantity)
        file_add(kind="photo", upload=picture, title=part.name, part=part, by=by, at=at)
    _changed_drawing(cars["Gannet"], day, people["Maud Ellery"])


def _changed_drawing(gannet: Car, day: Day, manager: Person) -> None:
    tank = Part.objects.get(car=gannet, name="Fuel tank")
    tank.drawing_number = "G-0117"
    tank.save(update_fields=["drawing_number"])
    size = (tank.length_mm or 900, tank.width_mm or 420, tank.height_mm or 260)
    drawings = {}
    for revision, working_days in (("A", -12), ("B", -2)):
        drawings[revision] = file_add(
            kind="drawing",
            upload=drawing_picture("Fuel tank", "G-0117", revision, size),
            title="Fuel tank",
            revision=revision,
            part=tank,
            by=manager,
            at=timezone.make_aware(datetime.combine(day.at(working_days), time(11))),
        )
    tank.operations.filter(sequence=1, sent_on__isnull=False).update(sent_drawing=drawings["A"])


TANK = {
    "title": "Main fuel tank",
    "shape": "box",
    "measured": "outside",
    "length_mm": "900",
    "width_mm": "420",
    "height_mm": "260",
    "diameter_mm": "",
    "thickness_mm": "3",
    "metal": "aluminium_5083",
    "liquid": "petrol",
    "foam": "none",
    "expansion_percent": "5",
    "fill_c": "15",
    "hottest_c": "50",
    "pickup_mm": "12",
    "dip_step_mm": "20",
}
CIRCUIT = {
    "title": "Radiator fan feed",
    "system_v": "12",
    "load": "motor",
    "current_a": "18",
    "length_m": "2.6",
    "return_path": "body",
    "body_allowance_v": "0.1",
    "drop_limit_percent": "5",
    "drop_limit_v": "",
    "ambient_c": "70",
    "insulation": "b",
    "other_wires": "3",
    "least_area_mm2": "0.5",
    "series": "metric",
}


def _calc_sheets(cars: Mapping[str, Car], day: Day, people: Mapping[str, Person]) -> None:
    """A tank and a circuit, each on the job that needs it."""
    made = (
        ("Gannet", "fuel-tank-draw", "tank", TankForm(TANK), people["Tomas Kell"]),
        ("Skua", "elec-schedule", "circuit", CircuitForm(CIRCUIT), people["Ines Brandt"]),
    )
    for name, key, kind, form, by in made:
        if not form.is_valid():
            raise RuntimeError(f"The demo's {kind} sheet is refused: {form.errors.as_text()}")
        calc_sheet_save(
            job=Job.objects.get(car=cars[name], key=key),
            kind=kind,
            title=form.cleaned_data["title"],
            inputs=form.inputs(),
            by=by,
            at=timezone.make_aware(datetime.combine(day.at(-15), time(10))),
        )


def _waits_for_signature(tern: Car, day: Day, people: Mapping[str, Person]) -> None:
    """A safety job done yesterday that a second person has not looked at yet."""
    done = timezone.make_aware(datetime.combine(day.at(-1), time(14, 30)))
    by = people["Ines Brandt"]
    Job.objects.filter(car=tern, key="elec-cutoff").update(
        needs_signature=True, started_at=done - timedelta(hours=2), started_by=by, done_at=done, done_by=by
    )


# Cars handed over earlier: name, working days ago of first start-up, and how many days before it (negative:
# after it) the promise, the even chance and the four in five stood when the promise was given.
EARLIER = (
    ("Fulmar", 200, 6, 8, -4),
    ("Kittiwake", 170, -3, 2, -9),
    ("Razorbill", 140, 9, 5, -2),
    ("Dunlin", 110, -5, -4, -15),
    ("Plover", 85, 12, 9, 3),
    ("Knot", 60, 4, 3, -6),
)


def _earlier_cars(day: Day, manager: Person) -> None:
    """Enough of the past for the promise log to say how good the forecasts were: five of six held."""
    for name, ago, promised, even, four in EARLIER:
        started = day.at(-ago)
        car = Car.objects.create(name=name, description="handed over", handed_over_on=day.at(-ago + 30))
        moment = timezone.make_aware(datetime.combine(started, time(15)))
        job = Job.objects.create(
            car=car,
            area=Area.objects.get(name="commissioning"),
            title="First start-up",
            hours_low=1,
            hours_likely=1,
            hours_high=3,
            started_at=moment,
            started_by=manager,
            done_at=moment,
            done_by=manager,
        )
        milestone = Milestone.objects.create(car=car, kind="first start-up", name="first start-up")
        milestone.jobs.set([job])
        MilestonePromise.objects.create(
            milestone=milestone,
            promised_on=day.at(-ago - promised),
            given_on=started - timedelta(days=150),
            reason="agreed when the car came in",
            by=manager,
            even_chance_on=day.at(-ago - even),
            four_in_five_on=day.at(-ago - four),
        )

"""Cautions as sentences: they remind, and defer to local rules. Common practice, no source."""

from collections.abc import Iterable

from builds.models import Job

CAUTIONS: dict[str, str] = {
    Job.Caution.HOT_WORK: (
        "Hot work: take fuel, lines, trim and rags away and have the fuel system drained and vented; keep an "
        "extinguisher and a second person by, and look again half an hour after. Follow the workshop’s hot "
        "work rules and the law of the place; only people trained for it weld, braze or grind here."
    ),
    Job.Caution.LIFTING: (
        "Lifting: know the mass, use gear that is marked for it and in date, keep from under the load. "
        "Follow the local lifting rules; a competent person plans the lift and slings it."
    ),
    Job.Caution.UNDER_CAR: (
        "Working under a car: never under a jack alone. Level floor, rated stands at points that the maker "
        "or a competent person names, wheels chocked; rock the car before going under. Local rules come "
        "first."
    ),
    Job.Caution.PRESSURE_TEST: (
        "Pressure test: test with liquid where possible, behind a guard, with a relief valve and a gauge in "
        "date; raise the pressure in steps and never tighten a joint under pressure. A competent person sets "
        "the test pressure by the local rules."
    ),
    Job.Caution.BATTERY: (
        "Battery disconnect: isolate the battery, earth lead first, before touching any wiring, and cover "
        "the terminals; no sparks near a battery on charge. High-voltage systems are only for people "
        "qualified for them, by the local rules."
    ),
    Job.Caution.FUEL: (
        "Fuel handling: outdoors or with extraction at floor level, no flame, spark or running heater; earth "
        "the containers and have an extinguisher for fuel fires by. Store and dispose of fuel by the local "
        "rules; ask the competent person when in doubt."
    ),
    Job.Caution.BRAKES: (
        "Brakes: the car does not move until the brakes have been bled, checked for leaks under pressure and "
        "tried, and a second competent person has looked. Torque figures and fluid come from the maker’s or "
        "supplier’s sheet; local rules on roadworthiness come first."
    ),
}


def caution_sentences(cautions: Iterable[str]) -> list[str]:
    """A full sentence for each caution of a job, in the order in which the job names them."""
    return [CAUTIONS[caution] for caution in cautions if caution in CAUTIONS]

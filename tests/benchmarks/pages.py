"""How long people wait: a tick on a workshop of 40 cars, to the new date on the car's sheet.

The date has the people there are in it. The workshop has seven times the demo's people and lifts, as many
cars need, and a plan of all is kept. It is said after how many ticks there was no such date.

    python -m tests.benchmarks.pages [--ticks 25]

In one process and without a network in between: what the browser draws comes on top.
"""

import argparse
import os
import resource
import tempfile
from collections.abc import Callable, Sequence
from functools import partial
from statistics import median, quantiles
from time import perf_counter, process_time

CARS = 40
TIMES = 7  # as many people and lifts as the demo has for six cars


Spent = tuple[float, float]  # by the clock, by the processor [ms]


def _time(call: Callable[[], object]) -> Spent:
    begin, worked = perf_counter(), process_time()
    call()
    return (perf_counter() - begin) * 1000, (process_time() - worked) * 1000


def _row(name: str, times: list[Spent]) -> None:
    clock, worked = zip(*times, strict=True)
    print(
        f"{name:46} median {median(clock):7.0f} ms   p95 {_p95(clock):7.0f} ms   "
        f"processor {median(worked):7.0f} ms   p95 {_p95(worked):7.0f} ms"
    )


def _p95(times_ms: Sequence[float]) -> float:
    return quantiles(times_ms, n=20)[18] if len(times_ms) > 1 else times_ms[0]


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--ticks", type=int, default=25)
    ticks = parser.parse_args().ticks
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"FO_DATA_DIR": folder, "DATABASE_URL": "", "FO_HOSTS": "testserver"}
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
        import django

        django.setup()
        _measure(ticks)
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def _measure(ticks: int) -> None:
    from django.core.management import call_command
    from django.test import Client
    from django.utils import timezone

    from builds.demo.loading import demo_load
    from builds.models import Car, Job, Person
    from builds.network import load_workshop
    from builds.services.plans import plan_keep
    from builds.services.start import car_start_from_template
    from config.memory import collect_seldom

    today = timezone.localdate()
    call_command("migrate", verbosity=0)
    demo_load(today)
    manager = Person.objects.get(role="manager")
    for number in range(CARS - Car.objects.in_work().count()):
        car_start_from_template(name=f"Car {number}", description="", by=manager, today=today)
    _take_on_people(TIMES)
    plan_keep(at=timezone.now())
    collect_seldom()  # as the server does
    client = Client()
    client.force_login(manager)
    print(f"{CARS} cars, {Job.objects.count()} jobs, {Person.objects.count()} people, {os.cpu_count()} cores")

    facts = load_workshop(today).facts()
    jobs = Job.objects.filter(car__handed_over_on__isnull=True)
    clear = [job for job in jobs if facts.jobs[job.pk].condition == "clear"]

    without: list[Job] = []

    def from_sheet(job: Job) -> None:
        answer = client.post(f"/jobs/{job.pk}/done/", {"next": f"/cars/{job.car_id}/"}, follow=True)
        if "With the people there are" not in answer.content.decode():
            without.append(job)

    def from_today(job: Job) -> None:
        client.post(f"/jobs/{job.pk}/done/", {"from": "today"}, headers={"HX-Request": "true"})

    # the page stood open before the tick, and had its dates with people
    client.get(f"/cars/{clear[0].car_id}/")
    client.get(f"/cars/{clear[0].car_id}/", {"people": 1})
    sheet, people = [], []
    for job in clear[:ticks]:
        sheet.append(_time(partial(from_sheet, job)))
        people.append(_time(partial(client.get, f"/cars/{job.car_id}/", {"people": 1})))
    todays = [_time(partial(from_today, job)) for job in clear[ticks : 2 * ticks]]
    _row("a tick on a car sheet, to its new date", sheet)
    print(f"  of {len(sheet)} ticks without a date with people at once: {len(without)}")
    _row("the plan made anew and its chances, after it", people)
    _row("a tick on Today, to the new list", todays)
    for name, path in (("all cars", "/"), ("Today", "/today/"), ("Waiting on suppliers", "/waiting/")):
        _row(f"the page {name}", [_time(partial(client.get, path)) for _ in range(7)])


def _take_on_people(times: int) -> None:
    """As many people and lifts as that many cars need, each person with the skills of one of the demo’s."""
    from builds.models import Bay, Person

    for person in Person.objects.filter(role="fitter", is_active=True).order_by("pk"):
        skills = list(person.skills.all())
        for number in range(1, times):
            person.pk, person.id, person.name = (
                None,
                None,
                f"{person.name.split(' no. ')[0]} no. {number + 1}",
            )
            person.save()
            person.skills.set(skills)
    for bay in Bay.objects.all():
        bay.places *= times
        bay.save()


if __name__ == "__main__":
    main()

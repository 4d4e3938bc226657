"""How long people wait: a tick on a workshop of 40 cars, to the new date on the car's sheet.

    python -m tests.benchmarks.pages [--ticks 30]

In one process and without a network in between: what the browser draws comes on top.
"""

import argparse
import os
import resource
import tempfile
from collections.abc import Callable
from functools import partial
from statistics import median, quantiles
from time import perf_counter

CARS = 40


def _time(call: Callable[[], object]) -> float:
    begin = perf_counter()
    call()
    return (perf_counter() - begin) * 1000


def _row(name: str, times_ms: list[float]) -> None:
    p95 = quantiles(times_ms, n=20)[18] if len(times_ms) > 1 else times_ms[0]
    print(f"{name:46} median {median(times_ms):7.0f} ms   p95 {p95:7.0f} ms")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--ticks", type=int, default=30)
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
    from builds.services.start import car_start_from_template
    from config.memory import collect_seldom

    today = timezone.localdate()
    call_command("migrate", verbosity=0)
    demo_load(today)
    manager = Person.objects.get(role="manager")
    for number in range(CARS - Car.objects.in_work().count()):
        car_start_from_template(name=f"Car {number}", description="", by=manager, today=today)
    collect_seldom()  # as the server does
    client = Client()
    client.force_login(manager)
    print(f"{CARS} cars, {Job.objects.count()} jobs, {os.cpu_count()} cores")

    facts = load_workshop(today).facts()
    jobs = Job.objects.filter(car__handed_over_on__isnull=True)
    clear = [job for job in jobs if facts.jobs[job.pk].condition == "clear"]

    def from_sheet(job: Job) -> None:
        client.post(f"/jobs/{job.pk}/done/", {"next": f"/cars/{job.car_id}/"}, follow=True)

    def from_today(job: Job) -> None:
        client.post(f"/jobs/{job.pk}/done/", {"from": "today"}, headers={"HX-Request": "true"})

    sheet, people = [], []
    for job in clear[:ticks]:
        sheet.append(_time(partial(from_sheet, job)))
        people.append(_time(partial(client.get, f"/cars/{job.car_id}/", {"people": 1})))
    todays = [_time(partial(from_today, job)) for job in clear[ticks : 2 * ticks]]
    _row("a tick on a car sheet, to its new date", sheet)
    _row("the date with people, fetched after it", people)
    _row("a tick on Today, to the new list", todays)
    for name, path in (("all cars", "/"), ("Today", "/today/"), ("Waiting on suppliers", "/waiting/")):
        _row(f"the page {name}", [_time(partial(client.get, path)) for _ in range(7)])


if __name__ == "__main__":
    main()

"""How long people wait: a tick on a workshop of 40 cars, to the new date on the car's sheet.

The date has the people there are in it. The workshop has seven times the demo's fitters and lifts, as many
as so many cars need, and a plan of all is kept. It is said after how many ticks there was no such date.

Beside it, in the same run, the plain way: the same ticks, fewer of them, with everything forgotten before
each request that the server keeps between two of the rows, the network and the plan last worked out. The
page then has no date with people until the plan is made anew, so that is fetched and counted too.

    python -m tests.benchmarks.pages [--ticks 25]

In one process and without a network in between: what the browser draws comes on top.
"""

from __future__ import annotations

import argparse
import os
import tempfile
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import islice
from statistics import median, quantiles
from time import perf_counter, process_time
from typing import TYPE_CHECKING

from tests.benchmarks.measuring import own_peak_mb, print_machine

if TYPE_CHECKING:  # Django is set up first
    from datetime import date

    from django.http import HttpResponse
    from django.test import Client

    from builds.models import Job

CARS = 40
TIMES = 7  # as many fitters and lifts as the demo has for six cars
PLAINLY = 5  # of so many ticks one is done the plain way as well: it takes long
ENOUGH = 20  # fewer times have no 95th percentile


Spent = tuple[float, float]  # by the clock, by the processor [ms]


def _time(call: Callable[[], object]) -> Spent:
    begin, worked = perf_counter(), process_time()
    call()
    return (perf_counter() - begin) * 1000, (process_time() - worked) * 1000


def _row(name: str, times: list[Spent]) -> None:
    clock, worked = zip(*times, strict=True)
    print(f"{name:54} clock {_spread(clock)}   processor {_spread(worked)}", flush=True)


def _spread(times_ms: Sequence[float]) -> str:
    if len(times_ms) < ENOUGH:
        return f"median {median(times_ms):7.0f} ms, slowest of {len(times_ms)} {max(times_ms):7.0f} ms"
    return f"median {median(times_ms):7.0f} ms, p95 {quantiles(times_ms, n=20)[18]:7.0f} ms"


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--ticks", type=int, default=25)
    ticks = parser.parse_args().ticks
    print_machine()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"FO_DATA_DIR": folder, "DATABASE_URL": "", "FO_HOSTS": "testserver"}
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
        import django

        django.setup()
        _measure(ticks)
    print(f"peak memory {own_peak_mb():.0f} MB")


def _measure(ticks: int) -> None:
    from django.utils import timezone

    today = timezone.localdate()
    presses = Presses(_workshop(today))
    clear = _clear(today)

    # the page stood open before the tick, and had its dates with people
    opened = next(clear)
    presses.page(opened)
    presses.people(opened)
    sheet, people = [], []
    for job in _next(clear, ticks):
        sheet.append(_time(lambda job=job: presses.on_sheet(job)))
        people.append(_time(lambda job=job: presses.people(job)))
    _row("a tick on a car sheet, to its date with people", sheet)
    print(f"  of {len(sheet)} ticks without a date with people at once: {presses.without}")
    _row("the plan made anew and its chances, after it", people)
    todays = [_time(lambda job=job: presses.on_today(job)) for job in _next(_clear(today), ticks)]
    _row("a tick on Today, to the new list", todays)
    for name, path in (("all cars", "/"), ("Today", "/today/"), ("Waiting on suppliers", "/waiting/")):
        _row(f"the page {name}", [_time(partial(presses.client.get, path)) for _ in range(ENOUGH)])
    _measure_plainly(presses, _clear(today), max(1, ticks // PLAINLY))


def _clear(today: date) -> Iterator[Job]:
    """What can be ticked now: what was ticked has made other jobs clear."""
    from builds.models import Job
    from builds.network import load_workshop

    facts = load_workshop(today).facts()
    jobs = Job.objects.filter(car__handed_over_on__isnull=True)
    return iter([job for job in jobs if facts.jobs[job.pk].condition == "clear"])


def _measure_plainly(presses: Presses, clear: Iterator[Job], ticks: int) -> None:
    """The same ticks with nothing kept."""
    bare, plain = [], []
    for job in _next(clear, ticks):
        bare.append(_time(lambda job=job: _forgetful(presses.tick, presses.page)(job)))
        fetched = _time(lambda job=job: _forgetful(presses.people)(job))
        plain.append((bare[-1][0] + fetched[0], bare[-1][1] + fetched[1]))
    print("the plain way, with nothing kept between requests")
    _row("a tick on a car sheet, to its date with people", plain)
    _row("a tick on a car sheet, to the page without that date", bare)
    todays = [_time(lambda job=job: _forgetful(presses.on_today)(job)) for job in _next(clear, ticks)]
    _row("a tick on Today, to the new list", todays)


def _forgetful(*requests: Callable[[Job], object]) -> Callable[[Job], None]:
    """Requests one after the other, all that is kept being forgotten before each."""
    from builds.network import latest, standing, unchanged

    def done(job: Job) -> None:
        for request in requests:
            for kept in (unchanged, latest, standing):
                kept.forget()
            request(job)

    return done


class Presses:
    """What is pressed and fetched, as the manager, who is signed in."""

    def __init__(self, client: Client) -> None:
        self.client = client
        self.without = 0  # ticks on a sheet after which it had no date with people

    def tick(self, job: Job, follow: bool = False) -> HttpResponse:
        return self.client.post(f"/jobs/{job.pk}/done/", {"next": f"/cars/{job.car_id}/"}, follow=follow)

    def on_sheet(self, job: Job) -> None:
        page = self.tick(job, follow=True).content.decode()
        self.without += "With the people there are" not in page

    def page(self, job: Job) -> None:
        self.client.get(f"/cars/{job.car_id}/")

    def people(self, job: Job) -> None:
        self.client.get(f"/cars/{job.car_id}/", {"people": 1})

    def on_today(self, job: Job) -> None:
        self.client.post(f"/jobs/{job.pk}/done/", {"from": "today"}, headers={"HX-Request": "true"})


def _workshop(today: date) -> Client:
    """A workshop of so many cars with a plan kept, and its manager signed in."""
    from django.core.management import call_command
    from django.test import Client
    from django.utils import timezone

    from builds.demo.loading import demo_load
    from builds.models import Car, Job, Person
    from builds.services.plans import plan_keep
    from builds.services.start import car_start_from_template
    from config.memory import collect_seldom

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
    return client


def _next(jobs: Iterator[Job], count: int) -> list[Job]:
    """As many jobs that nobody has ticked yet."""
    found = list(islice(jobs, count))
    if len(found) < count:
        raise SystemExit("There are not so many clear jobs to tick: ask for fewer ticks.")
    return found


def _take_on_people(times: int) -> None:
    """As many fitters and lifts as that many cars need, each fitter with the skills of one of the demo’s."""
    from django.db.models import F

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
    Bay.objects.update(places=F("places") * times)


if __name__ == "__main__":
    main()

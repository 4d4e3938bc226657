"""The search as a process of its own: begun by a press, heard of through the database, ended by itself."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
TOO_LONG_S = 120

SCRIPT = """
import json, time
import django
django.setup()
from datetime import timedelta
from django.core.management import call_command
from django.utils import timezone
call_command("migrate", verbosity=0)
from builds.models import Area, Car, Improving, Job, KeptPlan, Milestone, MilestonePromise, Person, Workshop
from builds.services.plans import improving_ask
Workshop.objects.create(name="Saltmarsh Motor Works")
maud = Person.objects.create_person(name="Maud Ellery", secret="a long enough password", role="manager")
Person.objects.create_person(name="Rafe Holloway", secret="4821")
area, now = Area.objects.create(name="engine bay"), timezone.now()
for name in ("Tern", "Skua"):
    car = Car.objects.create(name=name)
    job = Job.objects.create(car=car, area=area, title="Prime", hours_low=4, hours_likely=4, hours_high=4)
    milestone = Milestone.objects.create(car=car, kind="first start-up", name="first start-up")
    milestone.jobs.set([job])
    MilestonePromise.objects.create(
        milestone=milestone, promised_on=now.date() + timedelta(9), given_on=now.date(), reason="x", by=maud
    )
asked = improving_ask(seconds=10, by=maud, at=now)
begun = time.monotonic()
while asked.state in ("asked", "running") and time.monotonic() - begun < 60:
    time.sleep(0.2)
    asked.refresh_from_db()
print(json.dumps([asked.state, asked.words, asked.heard_at is not None, KeptPlan.objects.count()]))
"""


def environment(tmp_path: Path) -> dict[str, str]:
    own = {
        "FO_DATA_DIR": str(tmp_path),
        "DATABASE_URL": "",
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "PYTHONPATH": str(ROOT),
    }
    return {**os.environ, **own}


def run(tmp_path: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env=environment(tmp_path),
        capture_output=True,
        text=True,
        timeout=TOO_LONG_S,
        check=False,
    )


def test_a_press_starts_a_process_that_proves_its_plan_and_keeps_it(tmp_path):
    ended = run(tmp_path, "-c", SCRIPT)
    assert ended.returncode == 0, ended.stderr
    state, words, was_heard, plans_kept = json.loads(ended.stdout)
    assert (state, was_heard, plans_kept) == ("done", True, 1), words
    assert words.startswith("A better plan is kept.")
    assert words.endswith("No plan can be better.")

    none = run(tmp_path, "manage.py", "improve_plan", "987654")
    assert none.returncode == 1
    assert "There is no search 987654." in none.stderr

"""How fast, and how near to the best, the levelled plan is.

    python -m tests.bench.bench_levelling workshop [--seconds 10] [--runs 3]
    python -m tests.bench.bench_levelling psplib [DIR] [--seconds 5] [--sets 9,13] [--json]

`workshop` levels 12 cars of 100 open jobs each with 6 people. `psplib` solves the projects that it finds in
DIR/j30 and DIR/j60 against DIR/optima.csv; without DIR it looks in data/psplib of the folder that FO_SHARED
names, or of a folder `shared` beside the checkout. A schedule counts only after its links and resources have
been checked at every instant, apart from the core.

R. Kolisch, A. Sprecher (1997) 'PSPLIB - A project scheduling problem library', European Journal of
Operational Research 96, 205-216.
"""

import argparse
import csv
import json
import os
import resource
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import mean, median
from time import perf_counter, process_time

from builds.schedule.levelling.check import check
from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.serial import serial_plan
from tests.builds.schedule.levelling.projects import UNIT_MIN, read_project
from tests.builds.schedule.levelling.workshops import workshop

CHECKOUT = Path(__file__).parents[2]
SCARCE = {"9", "13", "25", "29", "41", "45"}  # the sets in which resources are scarcest


@dataclass(frozen=True)
class Solved:
    """One project, in its own periods."""

    name: str
    best_known: int
    first: float
    makespan: float
    bound: float
    seconds: float
    processor: float

    @property
    def is_scarce(self):
        return self.name.split("_")[0][3:] in SCARCE

    @property
    def is_proven(self):
        return self.makespan <= self.bound

    @property
    def gap(self):
        return (self.makespan - self.best_known) / self.best_known


def peak_mb():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def bench_workshop(seconds, runs):
    for uneven, kind in ((True, "short weeks and holidays"), (False, "everybody the same week")):
        walls, processor = [], []
        for _ in range(runs):
            problem = workshop(uneven=uneven)
            begun, used = perf_counter(), process_time()
            first = serial_plan(problem)
            walls.append(perf_counter() - begun)
            processor.append(process_time() - used)
        used = process_time()
        best = improve(problem, first, seconds)
        used = process_time() - used
        assert check(problem, first.placed) == check(problem, best.placed) == ()
        print(f"12 cars × 100 jobs × 6 people, {kind} ({len(problem.tasks)} tasks, median of {runs})")
        print(
            f"  first plan {median(walls):.2f} s (processor {median(processor):.2f} s), gap {first.gap:.1%}"
        )
        print(f"  after {seconds:g} s (processor {used:.1f} s) gap {best.gap:.1%}; peak {peak_mb():.0f} MB")


def solve(path, best_known, seconds):
    project = read_project(path.read_text())
    problem = project.problem()
    begun, used = perf_counter(), process_time()
    first = serial_plan(problem)
    best = improve(problem, first, seconds)
    took, used = perf_counter() - begun, process_time() - used
    bound = best.bound.cost / UNIT_MIN
    return Solved(path.stem, best_known, project.makespan(first), project.makespan(best), bound, took, used)


def report(title, rows):
    if not rows:
        return
    gaps, seconds = [row.gap for row in rows], [row.seconds for row in rows]
    print(
        f"{title}: solved {len(rows)}, proven {sum(row.is_proven for row in rows)} "
        f"({mean(row.is_proven for row in rows):.1%}), at the best known {sum(gap <= 0 for gap in gaps)}; "
        f"gap to it mean {mean(gaps):.2%}, worst {max(gaps):.2%}; seconds median {median(seconds):.2f}, "
        f"total {sum(seconds):.0f}, processor {sum(row.processor for row in rows):.0f}"
    )


def bench_psplib(folder, seconds, sets, as_json):
    if not (folder / "optima.csv").exists():
        print(f"No projects: {folder}/optima.csv is not there. Name the folder, or set FO_SHARED.")
        return
    with (folder / "optima.csv").open() as file:
        known = {row["instance"]: row for row in csv.DictReader(file)}
    everything = []
    for size in ("j30", "j60"):
        rows = []
        for path in sorted((folder / size).glob("*.sm")):
            if sets and path.stem.split("_")[0][3:] not in sets:
                continue
            row = solve(path, int(known[path.stem]["makespan"]), seconds)
            assert row.bound <= int(known[path.stem]["makespan"]), f"{path.stem}: the bound is too high"
            assert row.makespan >= int(known[path.stem]["lower_bound"]), f"{path.stem}: too short to be true"
            rows.append(row)
            if not as_json and not row.is_proven:
                print(f"  {row.name}: {row.makespan:g}, bound {row.bound:g}, best known {row.best_known}")
        everything.extend(rows)
        if not as_json:
            report(f"{size} at {seconds:g} s", rows)
            report(f"{size} at {seconds:g} s, scarce sets", [row for row in rows if row.is_scarce])
    if as_json:
        extra = [
            {"is_proven": row.is_proven, "gap": row.gap, "is_scarce": row.is_scarce} for row in everything
        ]
        print(json.dumps([asdict(row) | more for row, more in zip(everything, extra, strict=True)], indent=1))
    else:
        print(f"peak memory {peak_mb():.0f} MB")


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    kinds = parser.add_subparsers(dest="kind", required=True)
    shop = kinds.add_parser("workshop")
    shop.add_argument("--seconds", type=float, default=10)
    shop.add_argument("--runs", type=int, default=3)
    library = kinds.add_parser("psplib")
    shared = Path(os.environ.get("FO_SHARED", CHECKOUT.parent / "shared"))
    library.add_argument("folder", type=Path, nargs="?", default=shared / "data/psplib")
    library.add_argument("--seconds", type=float, default=5)
    library.add_argument("--sets", type=lambda text: set(text.split(",")), default=set())
    library.add_argument("--json", action="store_true")
    chosen = parser.parse_args()
    if chosen.kind == "workshop":
        bench_workshop(chosen.seconds, chosen.runs)
    else:
        bench_psplib(chosen.folder, chosen.seconds, chosen.sets, chosen.json)


if __name__ == "__main__":
    main()

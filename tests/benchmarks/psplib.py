"""How near to the best known makespans the levelling core comes on projects that others published.

    python -m tests.benchmarks.psplib [DIR] [--seconds 5] [--sets 9,13] [--json]

DIR holds `.sm` files of PSPLIB, or folders of them such as `j30` and `j60`, and `optima.csv` with at least
the columns `instance` and `makespan`; without DIR it is data/psplib in the folder that FO_SHARED names, or
in a folder `shared` beside the checkout. Each project is solved by `serial_plan` and `improve`, as the plan
of the workshop is. A schedule counts only after its lengths, links and resources have been checked at every
instant, apart from the core. A file that is no project is named with what is wrong and counts as not solved;
the others are solved all the same. The time of a project begins before it is turned into a problem of ours;
the libraries are loaded before the first.

R. Kolisch, A. Sprecher (1997) 'PSPLIB - A project scheduling problem library', European Journal of
Operational Research 96, 205-216.
"""

import argparse
import csv
import importlib
import json
import os
import re
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import mean, median
from time import perf_counter, process_time

from builds.schedule.errors import ScheduleError
from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.serial import serial_plan
from tests.benchmarks.measuring import machine, own_peak_mb
from tests.builds.schedule.levelling.projects import UNIT_MIN, BadProject, read_project

CHECKOUT = Path(__file__).parents[2]
SCARCE = {9, 13, 25, 29, 41, 45}  # the sets in which resources are scarcest
NAME = re.compile(r"(j(?:30|60|90|120))(\d+)_(\d+)", re.IGNORECASE)


@dataclass(frozen=True)
class Solved:
    """One project, in its own periods; `faults` says why its schedule does not count, or there is none."""

    name: str
    group: str
    best_known: int | None
    faults: tuple[str, ...]
    first: float | None = None
    makespan: float | None = None
    bound: float = 0
    seconds: float = 0
    processor: float = 0

    @property
    def is_scarce(self) -> bool:
        found = NAME.fullmatch(self.name)
        return found is not None and int(found[2]) in SCARCE

    @property
    def is_proven(self) -> bool:
        return not self.faults and self.makespan is not None and self.makespan <= self.bound

    @property
    def gap(self) -> float | None:
        if self.best_known is None or self.makespan is None:
            return None
        return (self.makespan - self.best_known) / max(1, self.best_known)

    def as_row(self) -> dict[str, object]:
        return asdict(self) | {"is_scarce": self.is_scarce, "is_proven": self.is_proven, "gap": self.gap}


@dataclass(frozen=True)
class Known:
    """What others found of a project."""

    makespan: int
    lower_bound: int


def main() -> int:
    chosen = _arguments()
    paths = list(projects_in(chosen.folder, chosen.sets))
    if not paths:
        print(f"No projects: there is no .sm file in {chosen.folder} or its folders.", file=sys.stderr)
        return 1
    known = known_in(chosen.folder)
    importlib.import_module("ortools.sat.python.cp_model")
    rows = []
    for path in paths:
        rows.append(solve(path, known.get(path.stem.lower()), chosen.seconds))
        if not chosen.json:
            _tell(rows[-1])
    summaries = [
        summary(f"{group} at {chosen.seconds:g} s{words}", chosen_rows)
        for group in dict.fromkeys(row.group for row in rows)
        for words, chosen_rows in (
            ("", [row for row in rows if row.group == group]),
            (", scarce sets", [row for row in rows if row.group == group and row.is_scarce]),
        )
        if chosen_rows
    ]
    if chosen.json:
        answer = {"machine": machine(), "seconds": chosen.seconds, "sets": summaries}
        print(json.dumps(answer | {"projects": [row.as_row() for row in rows]}, indent=1))
    else:
        print(f"\n{machine()}")
        for one in summaries:
            print(_in_words(one))
        print(f"Peak memory {own_peak_mb():.0f} MB.")
    return int(any(row.faults for row in rows))


def projects_in(folder: Path, sets: set[int]) -> Iterator[Path]:
    """Every project file of a folder and of the folders in it, in the order of their numbers."""
    paths = [path for path in folder.rglob("*") if path.suffix.lower() == ".sm" and path.is_file()]
    for path in sorted(paths, key=lambda path: (path.parent, _numbers(path.stem))):
        found = NAME.fullmatch(path.stem)
        if not sets or (found is not None and int(found[2]) in sets):
            yield path


def known_in(folder: Path) -> dict[str, Known]:
    """What `optima.csv` in the folder, beside it or below it says, by instance in small letters."""
    places = [folder / "optima.csv", folder.parent / "optima.csv", *sorted(folder.rglob("optima.csv"))]
    found = next((path for path in places if path.exists()), None)
    if found is None:
        print(f"There is no optima.csv in {folder}: no gaps can be told.", file=sys.stderr)
        return {}
    with found.open(newline="", encoding="utf-8-sig") as file:
        return {
            row["instance"].strip().lower().removesuffix(".sm"): Known(
                int(row["makespan"]), int(row.get("lower_bound") or 0)
            )
            for row in csv.DictReader(file)
        }


def solve(path: Path, known: Known | None, seconds: float) -> Solved:
    """Solve one project as the workshop's own plan is solved, and check the answer."""
    found = NAME.fullmatch(path.stem)
    group = found[1].lower() if found else path.parent.name
    best_known = known.makespan if known else None
    try:
        project = read_project(path.read_text(encoding="latin-1"))
        begun, used = perf_counter(), process_time()
        problem = project.problem()
        first = serial_plan(problem)
    except (BadProject, ScheduleError, OSError) as error:
        return Solved(path.stem, group, best_known, (f"it cannot be solved: {error}",))
    best = improve(problem, first, seconds)
    took, used = perf_counter() - begun, process_time() - used
    bound = best.bound.cost / UNIT_MIN if best.bound is not None else 0
    length = project.length_of(best)
    faults = project.faults(best)
    if known is not None and bound > known.makespan:
        faults.append(f"the bound {bound:g} is above the makespan {known.makespan} that others found")
    if known is not None and length < known.lower_bound:
        faults.append(f"{length:g} is below {known.lower_bound}, which others proved")
    return Solved(
        path.stem, group, best_known, tuple(faults), project.length_of(first), length, bound, took, used
    )


def summary(title: str, rows: list[Solved]) -> dict[str, object]:
    """The figures of one set; gaps are over the projects whose best is known."""
    valid = [row for row in rows if not row.faults]
    gaps = [row.gap for row in valid if row.gap is not None]
    seconds = [row.seconds for row in rows if row.makespan is not None]
    return {
        "title": title,
        "projects": len(rows),
        "solved": len(valid),
        "proven": sum(row.is_proven for row in rows),
        "at_best_known": sum(gap <= 0 for gap in gaps),
        "gap_mean": mean(gaps) if gaps else None,
        "gap_worst": max(gaps) if gaps else None,
        "seconds_median": median(seconds) if seconds else 0,
        "seconds_total": sum(seconds),
        "processor_total": sum(row.processor for row in rows),
    }


def _in_words(one: dict[str, object]) -> str:
    gaps = "no best makespans known"
    if one["gap_mean"] is not None:
        gaps = (
            f"at the best known {one['at_best_known']}; gap to it mean {one['gap_mean']:.2%}, "
            f"worst {one['gap_worst']:.2%}"
        )
    return (
        f"{one['title']}: solved {one['solved']} of {one['projects']}, proven optimal {one['proven']} "
        f"({one['proven'] / one['projects']:.1%}), {gaps}; seconds median {one['seconds_median']:.2f}, "
        f"total {one['seconds_total']:.0f}, processor {one['processor_total']:.0f}"
    )


def _tell(row: Solved) -> None:
    if row.faults:
        print(f"  {row.name} does not count: {'; '.join(row.faults)}", flush=True)
    elif not row.is_proven:
        best = row.best_known if row.best_known is not None else "not known"
        print(f"  {row.name}: {row.makespan:g}, bound {row.bound:g}, best known {best}", flush=True)


def _numbers(name: str) -> list[object]:
    found = NAME.fullmatch(name)
    return [found[1].lower(), int(found[2]), int(found[3])] if found else [name.lower(), 0, 0]


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    shared = Path(os.environ.get("FO_SHARED", CHECKOUT.parent / "shared"))
    parser.add_argument("folder", metavar="DIR", type=Path, nargs="?", default=shared / "data/psplib")
    parser.add_argument("--seconds", type=float, default=5, help="for each project; 5 if not given")
    parser.add_argument(
        "--sets", type=lambda text: {int(one) for one in text.split(",")}, default=set(), help="only these"
    )
    parser.add_argument("--json", action="store_true")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())

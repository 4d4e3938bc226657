"""How fast, and how near to the best, the plan of a large workshop is.

    python -m tests.benchmarks.levelling [--seconds 10] [--seeds 3]

12 cars of 100 open jobs each, with 6 people, for whom parts come from suppliers and cars go away; once with
short weeks and holidays and once with the same week for everybody. Beside the latter, in the same run, a
plain CP-SAT model of the same problem (`plain_model`) with as many seconds and threads; and both once more
for a smaller workshop. Short weeks and holidays would make the plain model a large one: they stand alone.

Each run has a process of its own, in which the libraries are loaded before the clock starts. Seconds count
from the finished problem on. The gap is to what each side itself knows that no plan can beat, as a share of
the cost of its plan; costs of both sides are in the same minutes.
"""

import argparse
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from math import inf
from multiprocessing import get_context
from statistics import median
from time import perf_counter, process_time

from builds.schedule.levelling.check import check
from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.problem import Problem
from builds.schedule.levelling.serial import serial_plan
from tests.benchmarks.measuring import own_peak_mb, print_machine
from tests.benchmarks.plain_model import solve_plainly
from tests.builds.schedule.levelling.workshops import workshop


@dataclass(frozen=True)
class Run:
    """One run; everything of a plan is endless where there was none."""

    first_s: float = inf
    first_gap: float = inf
    cost: float = inf
    gap: float = inf
    processor_s: float = 0
    peak_mb: float = 0


Way = Callable[[Problem, float, int], Run]


def ours(problem: Problem, seconds: float, seed: int) -> Run:
    begun = perf_counter()
    first = serial_plan(problem)
    first_s = perf_counter() - begun
    best = improve(problem, first, seconds - first_s, seed=seed)
    used, peak = process_time(), own_peak_mb()
    assert check(problem, first.placed) == check(problem, best.placed) == ()
    assert first.gap is not None
    assert best.gap is not None
    return Run(first_s, first.gap, best.cost, best.gap, used, peak)


def plain(problem: Problem, seconds: float, seed: int) -> Run:
    found = solve_plainly(problem, seconds, seed)
    used, peak = process_time(), own_peak_mb()
    if not found:
        return Run(processor_s=used, peak_mb=peak)
    return Run(found[0].seconds, found[0].gap, found[-1].cost, found[-1].gap, used, peak)


def one_run(way: Way, cars: int, jobs: int, uneven: bool, seconds: float, seed: int) -> Run:
    """Do it once for a tiny workshop to warm up, then measure."""
    way(workshop(1, 10, uneven=uneven), 1, seed)
    problem = workshop(cars, jobs, uneven=uneven)
    used = process_time()
    run = way(problem, seconds, seed)
    return replace(run, processor_s=run.processor_s - used)


def told(runs: list[Run], seconds: float) -> str:
    """The medians of some runs, in words."""

    def mid(what: str) -> float:
        return median(getattr(run, what) for run in runs)

    spent = f"processor {mid('processor_s'):.1f} s, peak {mid('peak_mb'):.0f} MB"
    without = sum(run.cost == inf for run in runs)
    if mid("cost") == inf:
        return f"no plan in {seconds:g} s with {without} of {len(runs)} seeds; {spent}"
    return (
        f"first plan {mid('first_s'):.2f} s, gap {mid('first_gap'):.1%}; after {seconds:g} s gap "
        f"{mid('gap'):.1%}, cost {mid('cost'):,.0f}; {spent}"
        + (f"; no plan with {without} of {len(runs)} seeds" if without else "")
    )


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--seeds", type=int, default=3)
    chosen = parser.parse_args()
    print_machine()
    context = get_context("spawn")
    with ProcessPoolExecutor(1, context, max_tasks_per_child=1) as pool:
        for cars, jobs, uneven in ((12, 100, True), (12, 100, False), (6, 60, False)):
            kind = "short weeks and holidays" if uneven else "the same week for everybody"
            print(f"{cars} cars × {jobs} jobs × 6 people, {kind}; median of {chosen.seeds} seeds", flush=True)
            for name, way in (("ours", ours), ("plain CP-SAT", plain)):
                if uneven and way is plain:
                    print("  plain CP-SAT: not compared, see the head of this module")
                    continue
                runs = [
                    pool.submit(one_run, way, cars, jobs, uneven, chosen.seconds, seed)
                    for seed in range(1, chosen.seeds + 1)
                ]
                print(f"  {name}: {told([run.result() for run in runs], chosen.seconds)}", flush=True)


if __name__ == "__main__":
    main()

"""How fast, and how near to the best, the plan of a large workshop is.

    python -m tests.benchmarks.levelling [--seconds 10] [--runs 3]

12 cars of 100 open jobs each, with 6 people, for whom parts come from suppliers and cars go away; once with
short weeks and holidays and once with the same week for everybody.
"""

import argparse
from statistics import median
from time import perf_counter, process_time

from builds.schedule.levelling.check import check
from builds.schedule.levelling.improve import improve
from builds.schedule.levelling.serial import serial_plan
from tests.benchmarks.measuring import own_peak_mb, print_machine
from tests.builds.schedule.levelling.workshops import workshop


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--runs", type=int, default=3)
    chosen = parser.parse_args()
    print_machine()
    for uneven, kind in ((True, "short weeks and holidays"), (False, "everybody the same week")):
        walls, processor = [], []
        for _ in range(chosen.runs):
            problem = workshop(uneven=uneven)
            begun, used = perf_counter(), process_time()
            first = serial_plan(problem)
            walls.append(perf_counter() - begun)
            processor.append(process_time() - used)
        used = process_time()
        best = improve(problem, first, chosen.seconds)
        used = process_time() - used
        assert check(problem, first.placed) == check(problem, best.placed) == ()
        print(f"12 cars × 100 jobs × 6 people, {kind} ({len(problem.tasks)} tasks, median of {chosen.runs})")
        print(
            f"  first plan {median(walls):.2f} s (processor {median(processor):.2f} s), gap {first.gap:.1%}"
        )
        print(
            f"  after {chosen.seconds:g} s (processor {used:.1f} s) gap {best.gap:.1%}; "
            f"peak {own_peak_mb():.0f} MB"
        )


if __name__ == "__main__":
    main()

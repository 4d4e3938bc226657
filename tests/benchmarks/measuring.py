"""How the benchmarks measure and print: wall time and processor time, medians, peak memory."""

import os
import platform
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path


@dataclass(frozen=True)
class Figure:
    """Medians of several runs; peak memory of a process that does nothing else."""

    name: str
    wall_s: float
    best_s: float
    processor_s: float
    peak_mb: float | None = None


def measured(name: str, work: Callable[[], object], runs: int = 7) -> Figure:
    """Do it once to warm the caches, then several times."""
    work()
    walls, processors = [], []
    for _ in range(runs):
        wall, processor = time.perf_counter(), time.process_time()
        work()
        walls.append(time.perf_counter() - wall)
        processors.append(time.process_time() - processor)
    return Figure(name, statistics.median(walls), min(walls), statistics.median(processors))


def peak_mb_of(module: str, what: str) -> float:
    """Peak resident memory of a fresh process that imports everything and does one run of `what`."""
    done = subprocess.run(
        [sys.executable, "-m", module, "--peak", what], capture_output=True, text=True, check=True
    )
    return float(done.stdout.split()[-1])


def own_peak_mb() -> float:
    """Peak resident memory of this process so far."""
    # what getrusage says on Linux begins with the peak of the process that started this one
    status = Path("/proc/self/status")
    if status.exists():
        lines = dict(line.split(":", 1) for line in status.read_text().splitlines() if ":" in line)
        if "VmHWM" in lines:
            return int(lines["VmHWM"].split()[0]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (
        1024**2 if sys.platform == "darwin" else 1024
    )


def machine() -> str:
    """On what and when, and how busy the machine was."""
    load = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    return (
        f"{date.today()}, {platform.system()} {platform.machine()}, {os.cpu_count()} processors{load}, "
        f"Python {platform.python_version()}"
    )


def print_machine() -> None:
    """Say on what and when."""
    print(machine())


def print_table(title: str, figures: list[Figure]) -> None:
    """Print the figures below each other."""
    print(f"\n{title}")
    print(f"  {'':<58}{'median':>9}{'best':>9}{'processor':>11}{'peak':>9}")
    for row in figures:
        peak = f"{row.peak_mb:6.0f} MB" if row.peak_mb is not None else ""
        print(
            f"  {row.name:<58}{row.wall_s * 1000:6.0f} ms{row.best_s * 1000:6.0f} ms"
            f"{row.processor_s * 1000:8.0f} ms{peak:>9}"
        )

"""How long 10,000 draws of 2,000 activities take: `python -m tests.benchmarks.forecast`.

Beside each, in the same run, a straightforward numpy loop over the same network: numpy's own beta and
lognormal draws, one activity at a time, dates by the calendar's `add_many`, all draws in one wide array
and the same in blocks of 1,000. The loop gives finishes only; the forecast also criticality and
contributions.
"""

import sys
from dataclasses import replace

import numpy as np

from builds.schedule.draws import Together
from builds.schedule.forecast import Forecast, firm_dates, forecast
from builds.schedule.network import LinkKind, Network
from builds.schedule.spread import Lognormal, Pert, Spread
from tests.benchmarks.measuring import measured, own_peak_mb, peak_mb_of, print_machine, print_table
from tests.benchmarks.networks import bare, workshop

DRAWS = 10_000
SIZE = 2_000


def plain_loop(
    network: Network,
    spreads: dict[str, Spread],
    targets: list[str],
    block: int,
    together: dict[str, Together] | None = None,
) -> dict[str, np.ndarray]:
    """The forecast as one would write it first; finishes of the targets only."""
    rng = np.random.default_rng(1)
    parts: dict[str, list[np.ndarray]] = {key: [] for key in targets}
    for _ in range(DRAWS // block):
        finish: list[np.ndarray] = []
        shared: dict[str, np.ndarray] = {}
        for activity, arcs in zip(network.activities, network.waits_for, strict=True):
            start = np.full(block, max(network.start, activity.not_before or 0))
            for before, kind, lag in arcs:
                assert kind is LinkKind.FS
                start = np.maximum(start, finish[before] + lag)
            spread = spreads.get(activity.key)
            common = (together or {}).get(activity.key)
            if spread is None:
                length = activity.work_min
            elif common and common.name in shared:
                length = shared[common.name]
            else:
                length = np.rint(_plain_draws(rng, spread, block)).astype(np.int64)
                if common:
                    shared[common.name] = length
            finish.append(network.calendars[activity.calendar].add_many(start, length))
        for key in targets:
            parts[key].append(finish[network.place[key]])
    return {key: np.concatenate(rows) for key, rows in parts.items()}


def _plain_draws(rng: np.random.Generator, spread: Spread, count: int) -> np.ndarray:
    if isinstance(spread, Pert):
        width = spread.high - spread.low
        shape = 4 * (spread.likely - spread.low) / width
        return spread.low + width * rng.beta(1 + shape, 5 - shape, count)
    assert isinstance(spread, Lognormal)
    return rng.lognormal(np.log(spread.median), spread.log_sd, count)


def run(what: str) -> object:
    """One run of one line of the table."""
    network, spreads, targets = bare(SIZE) if "bare" in what else workshop(SIZE)[:3]
    together = {} if "bare" in what else workshop(SIZE)[3]
    if "loop" in what:
        return plain_loop(network, spreads, targets, DRAWS if "wide" in what else 1000, together)
    return forecast(network, spreads, targets, 1, DRAWS, DRAWS, together)


def agree(
    network: Network, spreads: dict[str, Spread], targets: list[str], together: dict[str, Together]
) -> str:
    """Check that both ways give the same dates within their standard errors, or stop."""
    ours = forecast(network, spreads, targets, 1, DRAWS, DRAWS, together).outcomes
    theirs = plain_loop(network, spreads, targets, 1000, together)
    worst = max(
        abs(ours[key].mean_min - theirs[key].mean()) / (theirs[key].std() * np.sqrt(2 / DRAWS))
        for key in targets
    )
    if worst > 5:
        raise SystemExit(f"The forecast and the plain loop disagree by {worst:.1f} standard errors.")
    return f"means of {len(targets)} target(s) agree within {worst:.1f} standard errors"


def compare(what: str) -> None:
    """Print one table: the forecast and the plain loops over one network."""
    network, spreads, targets = bare(SIZE) if what == "bare" else workshop(SIZE)[:3]
    together = {} if what == "bare" else workshop(SIZE)[3]

    def full(with_criticality: bool = True) -> Forecast:
        return forecast(
            network, spreads, targets, 1, DRAWS, DRAWS, together, with_criticality=with_criticality
        )

    def loop(block: int) -> dict[str, np.ndarray]:
        return plain_loop(network, spreads, targets, block, together)

    rows = [
        replace(measured("forecast: dates, criticality, contributions", full), peak_mb=peak(what)),
        measured("forecast: dates and contributions", lambda: full(with_criticality=False)),
        replace(
            measured("plain numpy loop, blocks of 1,000: dates", lambda: loop(1000), 3),
            peak_mb=peak(f"{what} loop"),
        ),
        replace(
            measured("plain numpy loop, one wide array: dates", lambda: loop(DRAWS), 3),
            peak_mb=peak(f"{what} loop wide"),
        ),
    ]
    kind = "round the clock" if what == "bare" else "calendars, batches, cars away, cures"
    counts = f"{len(network.activities):,} activities, {len(network.links):,} links, {len(targets)} target(s)"
    print_table(f"{DRAWS:,} draws, {what}: {counts}; {kind}", rows)
    print(f"  ({agree(network, spreads, targets, together)}; only importing takes {peak('nothing'):.0f} MB)")


def firm() -> None:
    """Print how long the worth of firm dates takes."""
    network, spreads, targets, together = workshop(SIZE)
    found = forecast(network, spreads, targets[:1], 1, together=together)
    contributions = found.outcomes[targets[0]].contribution_min
    most = sorted(contributions, key=lambda key: -contributions[key])[:5]
    row = measured(
        "the worth of five firm dates to one car of the workshop",
        lambda: firm_dates(network, spreads, found, targets[0], {key: [key] for key in most}, together),
        3,
    )
    print_table("Firm dates", [row])


def peak(what: str) -> float:
    return peak_mb_of("tests.benchmarks.forecast", what)


def main() -> None:
    print_machine()
    compare("bare")
    compare("workshop")
    firm()


if __name__ == "__main__":
    if "--peak" in sys.argv:
        what = sys.argv[-1]
        if what != "nothing":
            run(what)
        print(own_peak_mb())
    else:
        main()

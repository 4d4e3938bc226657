"""Every plan worth having where order of readiness is not enough: a minimum charge, or lot limits.

With a minimum charge a unit that is free early may do better to wait: a later lot that is below its
minimum takes it for nothing, while the earlier one would charge its price. So all ways of letting units
wait are looked at, except where letting one go at once costs nothing (then waiting cannot help).
"""

from dataclasses import dataclass

from parts.batching.grid import Grid
from parts.batching.packing import Numbers, Packer
from parts.batching.plans import Plan
from parts.batching.sweep import Best

MOST_WAITING = 12  # units at hand on one day, whose sets are all looked at
MOST_STEPS = 60_000  # ways and sets looked at, which bounds the time taken
NOBODY: Numbers = frozenset()


@dataclass(frozen=True, slots=True)
class _Way:
    """One way of having come up to a leaving day."""

    cost: int
    lost: tuple[int, ...]
    trips: tuple[tuple[int, Numbers], ...] = ()

    def is_no_worse_than(self, other: "_Way") -> bool:
        return self.cost <= other.cost and all(a <= b for a, b in zip(self.lost, other.lost, strict=True))


def search(grid: Grid, packer: Packer, best: Best, plans: dict[int, Plan]) -> bool:
    """Look at every plan that could beat those known, and enter what is better.

    Parameters
    ----------
    grid : Grid
        The units and days.
    packer : Packer
        Shares each day's units out into lots.
    best : Best
        Costs of the plans known; better ones are entered.
    plans : dict of int to Plan
        Days lost to the plan; better ones are entered.

    Returns
    -------
    bool
        Whether the search went to its end, so that what is known now is the best there is. It stops early
        if too many units wait at one time, or the steps run out.
    """
    steps = 0
    ways = {NOBODY: [_Way(0, tuple(int(days) for days in grid.unavoidable))]}
    for day in range(len(grid.days)):
        free = frozenset(n for n, first in enumerate(grid.first) if first == day)
        following: dict[Numbers, list[_Way]] = {}
        for waiting, reached in ways.items():
            here = waiting | free
            is_last = day == len(grid.days) - 1
            if not packer.is_exact_for(here) or (len(here) > MOST_WAITING and not is_last):
                return False
            sets = [here] if is_last else _worth_sending(packer, here)
            steps += len(sets) * len(reached) + len(sets)
            if steps > MOST_STEPS:
                return False
            for going in sets:
                for way in reached:
                    then = _after(grid, packer, way, day, going, here - going)
                    if _can_win(grid, then, here - going, day, best):
                        _keep(following.setdefault(here - going, []), then)
        ways = following
    for way in ways.get(NOBODY, []):
        plan = Plan(dict(way.trips))
        days = plan.days(grid)
        if best.add(days, way.cost):
            plans[days] = plan
    return True


def _worth_sending(packer: Packer, here: Numbers) -> list[Numbers]:
    """Sets that may leave, none that another unit could join without adding to the bill; and nobody."""
    listed = sorted(here)
    masks = range(1, 1 << len(listed))
    sets = [frozenset(n for i, n in enumerate(listed) if mask >> i & 1) for mask in masks]
    bill = {chosen: _bill(packer, chosen) for chosen in sets}
    full = [s for s in sets if all(bill[s | {other}] > bill[s] for other in here - s)]
    return [NOBODY, *full]


def _bill(packer: Packer, chosen: Numbers) -> int:
    """Charges with the prices of the pieces."""
    return packer.charge(chosen) + sum(packer.grid.units[number].price_pence for number in chosen)


def _after(grid: Grid, packer: Packer, way: _Way, day: int, going: Numbers, left: Numbers) -> _Way:
    lost = list(way.lost)
    # Who stays behind leaves at the next trip or later: what that costs is certain already.
    for numbers, when in ((going, day), (left, day + 1)):
        if numbers:
            for car, days in grid.lost(numbers, when).items():
                lost[car] = max(lost[car], days)
    if not going:
        return _Way(way.cost, tuple(lost), way.trips)
    cost = way.cost + grid.finisher.tariff.carriage_pence + packer.charge(going)
    return _Way(cost, tuple(lost), (*way.trips, (day, going)))


def _can_win(grid: Grid, way: _Way, left: Numbers, day: int, best: Best) -> bool:
    tariff = grid.finisher.tariff
    to_come = sum(grid.units[n].price_pence for n in left) + int(grid.price[day + 1 :].sum())
    ending = 0
    if left or day + 1 < len(grid.days):
        ending = tariff.carriage_pence + tariff.setup_pence + max(tariff.minimum_pence - to_come, 0)
    days = sum(way.lost) - int(grid.unavoidable.sum())
    return bool(way.cost + ending < best.cost[days])


def _keep(ways: list[_Way], new: _Way) -> None:
    """Add a way unless another is no worse; drop those that are no better."""
    if any(way.is_no_worse_than(new) for way in ways):
        return
    ways[:] = [way for way in ways if not new.is_no_worse_than(way)]
    ways.append(new)

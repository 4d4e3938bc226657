"""Taking up the drop that rounding to standard sizes leaves over.

Shares of a path's drop are rounded up to sizes wire by wire, so that a path loses less than it may. Wires
that carry the same loads are made thinner together, so that a circuit keeps its size through switches and
back; the greatest saving of copper comes first, while every path keeps within its class and every other rule
is passed.
"""

from dataclasses import dataclass

import numpy as np

from engineering.loom.bundles import Floats, Places, Sizes
from engineering.loom.demands import Budget
from engineering.loom.laying import Laid
from engineering.loom.rules import Drops, Heat, Truths


@dataclass(frozen=True)
class Trimmed:
    """Sizes with the drop taken up.

    Parameters
    ----------
    chosen : ndarray of int, shape (w,)
        Which size each wire has.
    next_v : dict of int to (int, float, int)
        For a wire that drop keeps from its next size down: which budget does, what its path would lose with
        the wire and its like one size down [V], and how many wires that is.
    """

    chosen: Places
    next_v: dict[int, tuple[int, float, int]]


def trim(
    laid: Laid,
    sizes: Sizes,
    heat: Heat,
    drops: Drops,
    budgets: tuple[Budget, ...],
    others_fail: Truths,
    chosen: Places,
    given: Places,
) -> Trimmed:
    """Make wires thinner while their paths allow it.

    Parameters
    ----------
    laid : Laid
        The wires in their runs.
    sizes : Sizes
        The series.
    heat : Heat
        Their resistance at running temperature.
    drops : Drops
        What body and given wires take.
    budgets : tuple of Budget
        What every path may lose.
    others_fail : ndarray of bool, shape (w, k)
        Whether a size fails a rule other than that of drop.
    chosen, given : ndarray of int, shape (w,)
        Which size each wire has by its share, and which is given; -1 where none is.

    Returns
    -------
    Trimmed
        Each step makes wires thinner, so that it ends.
    """
    count = len(sizes.area_mm2)
    k_of = chosen.copy()
    number = {demand.wire.label: n for n, demand in enumerate(laid.demands)}
    volts = laid.current_a[:, None] * heat.ohm_per_m * laid.length_m[:, None]
    lost = drops.fixed_v.copy()
    budgets_of: dict[int, list[int]] = {}
    closed = set()
    for b, budget in enumerate(budgets):
        for label in budget.wires:
            n = number.get(label)
            if n is None or n >= laid.sized or chosen[n] >= count:
                closed.add(b)  # a wire of it has no size: what it loses is not known
            elif given[n] < 0:
                lost[b] += volts[n, k_of[n]]
                budgets_of.setdefault(n, []).append(b)
    units: dict[tuple[str, ...], list[int]] = {}
    for n, demand in enumerate(laid.demands[: laid.sized]):
        if given[n] < 0 and chosen[n] < count and n in budgets_of and not closed & set(budgets_of[n]):
            units.setdefault(demand.flow.loads, []).append(n)
    limits = np.array([budget.limit_v for budget in budgets], dtype=float)
    held: dict[int, tuple[int, float, int]] = {}
    open_units = list(units.values())
    while open_units:
        steps = [(_saving(laid, sizes, k_of, others_fail, unit), unit) for unit in open_units]
        open_units = []
        for saved, unit in sorted(steps, key=lambda step: (-step[0], step[1])):
            movers = [n for n in unit if k_of[n] > 0 and not others_fail[n, k_of[n] - 1]]
            if not saved or not movers:
                continue
            after = _after(lost, volts, k_of, movers, budgets_of)
            worst = max(after, key=lambda b: after[b] / limits[b])
            if after[worst] <= limits[worst]:
                for b, lost_v in after.items():
                    lost[b] = lost_v
                k_of[movers] -= 1
                open_units.append(unit)
            else:
                held.update({n: (worst, after[worst], len(movers)) for n in movers})
    # what was found to hold a unit early on is said with the losses as they are in the end
    for unit in units.values():
        movers = [n for n in unit if n in held]
        if movers:
            after = _after(lost, volts, k_of, movers, budgets_of)
            worst = max(after, key=lambda b: after[b] / limits[b])
            held.update({n: (worst, after[worst], len(movers)) for n in movers})
    return Trimmed(k_of, held)


def _saving(laid: Laid, sizes: Sizes, k_of: Places, others_fail: Truths, unit: list[int]) -> float:
    """Copper that one step of a unit saves [mm² m]."""
    return sum(
        float((sizes.area_mm2[k_of[n]] - sizes.area_mm2[k_of[n] - 1]) * laid.length_m[n])
        for n in unit
        if k_of[n] > 0 and not others_fail[n, k_of[n] - 1]
    )


def _after(
    lost: Floats, volts: Floats, k_of: Places, movers: list[int], budgets_of: dict[int, list[int]]
) -> dict[int, float]:
    """What each path would lose with these wires one size down [V]."""
    after: dict[int, float] = {}
    for n in movers:
        more_v = float(volts[n, k_of[n] - 1] - volts[n, k_of[n]])
        for b in budgets_of[n]:
            after[b] = after.get(b, float(lost[b])) + more_v
    return after

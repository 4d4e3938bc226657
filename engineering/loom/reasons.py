"""Why each wire has its size, in words, and what a given size does not pass."""

from dataclasses import dataclass

import numpy as np

from engineering.loom.bundles import Places, Sizes
from engineering.loom.circuit import Rule
from engineering.loom.demands import Budget
from engineering.loom.faults import Fault, FaultKind
from engineering.loom.inputs import MOST_WIRES
from engineering.loom.laying import Laid
from engineering.loom.results import LoadVoltage, SizedWire
from engineering.loom.rules import SURE, Drops, Heat, Memo, Shorts, Truths
from engineering.loom.wire_list import LoomList
from engineering.loom.wires import Wire

_EXACT = 1e-9


@dataclass(frozen=True)
class Worked:
    """Everything that words are made of.

    Parameters
    ----------
    loom : LoomList
        The list.
    laid : Laid
        Its wires in their runs.
    sizes, arrays : tuple of Wire, Sizes
        The series.
    heat, drops, shorts : Heat, Drops, Shorts
        What each size of each wire would do.
    budgets : tuple of Budget
        What every path may lose.
    fails : dict of Rule to ndarray of bool, shape (w, k)
        Which size of which wire fails which rule.
    chosen, given : ndarray of int, shape (w,)
        Which size each wire has, and which is given; -1 where none is.
    next_v : dict
        As of `trimming.Trimmed`.
    """

    loom: LoomList
    laid: Laid
    sizes: tuple[Wire, ...]
    arrays: Sizes
    heat: Heat
    drops: Drops
    shorts: Shorts
    budgets: tuple[Budget, ...]
    fails: dict[Rule, Truths]
    chosen: Places
    given: Places
    next_v: dict[int, tuple[int, float, int]]


def other_rule(worked: Worked, n: int, k: int) -> Rule | None:
    """What besides drop keeps a wire from a size.

    Parameters
    ----------
    worked : Worked
        The loom, worked out.
    n : int
        Which wire.
    k : int
        Which size.

    Returns
    -------
    Rule or None
        The rule that the most sizes fail; None where only drop does.
    """
    others = [rule for rule in Rule if rule is not Rule.DROP and worked.fails[rule][n, k]]
    return max(others, key=lambda rule: int(worked.fails[rule][n].sum()), default=None)


def why_sized(worked: Worked, n: int, rule: Rule | None, memo: Memo) -> str:
    """Why a wire has its size, as a sentence.

    Parameters
    ----------
    worked : Worked
        The loom, worked out.
    n : int
        Which wire.
    rule : Rule or None
        What sets its size.
    memo : Memo
        Sentences made before.

    Returns
    -------
    str
        With what the next size down would do.
    """
    k = int(worked.chosen[n])
    name = worked.sizes[k].name
    if worked.given[n] >= 0:
        return f"{name} is given, not worked out."
    if rule is None:
        return f"{name} is the thinnest size of the series, and it passes every rule."
    key = _figures(worked, n, k - 1, rule)
    if key not in memo.words:
        memo.words[key] = f"The {rule} sets the size: {_failure(worked, n, k - 1, rule)}."
    return memo.words[key]


def _figures(worked: Worked, n: int, k: int, rule: Rule) -> tuple[object, ...]:
    """All that the words of a failure are made of."""
    demand = worked.laid.demands[n]
    if rule is Rule.MECHANICAL:
        return rule, k, demand.floor_mm2
    if rule is Rule.DROP:
        b = worked.next_v[n][0] if n in worked.next_v else int(worked.drops.budget[n])
        return (
            rule, k, worked.next_v.get(n), worked.loom.system_v, worked.budgets[b].component,
            worked.budgets[b].limit_v,
            len(worked.budgets[b].wires), float(worked.heat.ohm_per_m[n, k]),
            float(worked.drops.allowed_ohm_per_m[n]), float(worked.drops.fixed_v[b]),
            float(worked.drops.free_v[b]),
        )  # fmt: skip
    run = _tightest(worked, n)
    return (
        rule, k, demand.heat_a, demand.bear_a, demand.device, demand.wire.insulation, worked.laid.runs[run],
        float(worked.laid.ambient_c[run]), int(worked.heat.loaded[run]), float(worked.heat.capacity_a[n, k]),
        float(worked.heat.bears_a[n, k]), float(worked.shorts.short_a[n, k]),
        bool(worked.shorts.too_weak[n, k]),
    )  # fmt: skip


def _failure(worked: Worked, n: int, k: int, rule: Rule) -> str:
    """What one size of one wire would do against a rule, and the limit."""
    demand, name, loom = worked.laid.demands[n], worked.sizes[k].name, worked.loom
    if rule is Rule.DROP:
        if n in worked.next_v:
            b, drop_v, together = worked.next_v[n]
            besides = _with_others(together - 1)
        else:
            b = int(worked.drops.budget[n])
            share = worked.heat.ohm_per_m[n, k] / max(worked.drops.allowed_ohm_per_m[n], 1e-12)
            drop_v = worked.drops.fixed_v[b] + share * worked.drops.free_v[b]
            besides = ", the rest of the circuit in proportion," if len(worked.budgets[b].wires) > 1 else ""
        budget = worked.budgets[b]
        digits = (
            1 if 100 * (drop_v - budget.limit_v) / loom.system_v > 0.05 else 3
        )  # 3.0 over 3 explains nothing
        return (
            f"{name}{besides} would drop {100 * drop_v / loom.system_v:.{digits}f} % "
            f"({drop_v:.{digits + 1}f} V) there and back to {budget.component}, limit "
            f"{100 * budget.limit_v / loom.system_v:.3g} % ({budget.limit_v:.2f} V)"
        )
    if rule is Rule.MECHANICAL:
        return f"{name} is thinner than the {demand.floor_mm2:g} mm² allowed here"
    place = _place(worked, n)
    if rule is Rule.CAPACITY:
        return (
            f"{name} carries {worked.heat.capacity_a[n, k]:.1f} A in {place} before its conductor passes "
            f"{demand.wire.insulated.limit_c:g} °C, and its loads draw {demand.heat_a:.3g} A"
        )
    device = demand.device
    assert device is not None, "only what has a device can fail to bear it"
    if worked.heat.bears_a[n, k] < demand.bear_a * (1 - _EXACT):
        return (
            f"{name} bears {worked.heat.bears_a[n, k]:.1f} A in {place}, and {device.name} may pass "
            f"{demand.bear_a:.3g} A"
        )
    short_a = worked.shorts.short_a[n, k]
    if worked.shorts.too_weak[n, k]:
        return (
            f"a short at the far end of {name} would draw only {short_a:.1f} A, and {device.name} needs "
            f"{SURE[device.kind] * device.rating_a:g} A to break it"
        )
    return f"a short would spoil the insulation of {name} before {device.name}, {device}, breaks it"


def _with_others(others: int) -> str:
    if not others:
        return ""
    wires = "the other wire" if others == 1 else f"the {others} other wires"
    return f", {wires} of its circuit one size down too,"


def _tightest(worked: Worked, n: int) -> int:
    """The run with least room for a wire: hottest first, then the one with most loaded wires."""
    laid = worked.laid
    last = laid.first_row[n + 1] if n + 1 < len(laid.demands) else len(laid.row_run)
    runs = laid.row_run[laid.first_row[n] : last].tolist()
    if len(runs) == 1:
        return int(runs[0])
    core_c, ambient_c, loaded = worked.heat.core_c, laid.ambient_c, worked.heat.loaded
    return int(max(runs, key=lambda run: (core_c[run], ambient_c[run], loaded[run])))


def _place(worked: Worked, n: int) -> str:
    run = _tightest(worked, n)
    loaded = int(worked.heat.loaded[run])
    among = f" among {loaded} loaded wires" if loaded > 1 else ""
    return f"{worked.laid.runs[run]} at {worked.laid.ambient_c[run]:g} °C{among}"


_WAYS_OUT = {
    Rule.DROP: (
        "drop",
        "Shorten the run, allow more drop, or bring a relay and its feed nearer to the load.",
    ),
    Rule.PROTECTION: ("rating_a", "Split the load over two circuits, or take insulation of a higher class."),
    Rule.CAPACITY: ("steady_a", "Split the load, unbunch the run, or take insulation of a higher class."),
    Rule.MECHANICAL: ("least_mm2", "Give a thinner wire as the thinnest allowed."),
}


def no_wire(worked: Worked, n: int) -> Fault:
    """Say that no conductor passes.

    Parameters
    ----------
    worked : Worked
        The loom, worked out.
    n : int
        Which wire.

    Returns
    -------
    Fault
        With the way out.
    """
    label, last = worked.laid.demands[n].wire.label, len(worked.sizes) - 1
    rule = next(each for each in Rule if worked.fails[each][n, last])
    field, way_out = _WAYS_OUT[rule]
    words = f"Wire {label}: no conductor passes; even {_failure(worked, n, last, rule)}. {way_out}"
    return Fault(FaultKind.SIZE, label, field, words, (label,))


def given_failures(worked: Worked, n: int) -> tuple[Fault, ...]:
    """What a given size does not pass.

    Parameters
    ----------
    worked : Worked
        The loom, worked out.
    n : int
        Which wire.

    Returns
    -------
    tuple of Fault
        Empty where the size is not given.
    """
    if worked.given[n] < 0:
        return ()
    k, label = int(worked.given[n]), worked.laid.demands[n].wire.label
    return tuple(
        Fault(
            FaultKind.SIZE,
            label,
            "given_mm2",
            f"Wire {label}: its given size does not pass: {_failure(worked, n, k, rule)}.",
            (label,),
        )
        for rule in (Rule.PROTECTION, Rule.CAPACITY)
        if worked.fails[rule][n, k]
    )


def misfits(loom: LoomList, wires: dict[str, SizedWire]) -> list[Fault]:
    """Contacts that cannot take the conductor found for them.

    Parameters
    ----------
    loom : LoomList
        The list.
    wires : dict of str to SizedWire
        Its wires with their sizes.

    Returns
    -------
    list of Fault
        One for each contact.
    """
    faults = []
    for label, sized in wires.items():
        for pin in (sized.wire.start, sized.wire.end):
            contact = loom.contacts.get(pin)
            takes_mm2 = contact.largest_mm2 if contact else None
            if takes_mm2 is not None and sized.size.area_mm2 > 1.005 * takes_mm2:
                words = (
                    f"{pin}: wire {label} is {sized.size.name}, and the contact takes {takes_mm2:g} mm² at "
                    "most. Take a larger contact, or share the load over two wires."
                )
                faults.append(Fault(FaultKind.CONTACT, str(pin), "largest_mm2", words))
    return faults


def too_low(loom: LoomList, loads: dict[str, LoadVoltage]) -> list[Fault]:
    """Loads whose wires of given size lose more than their class may.

    Parameters
    ----------
    loom : LoomList
        The list.
    loads : dict of str to LoadVoltage
        What arrives at each load.

    Returns
    -------
    list of Fault
        One for each load.
    """
    return [
        Fault(
            FaultKind.SIZE,
            load.component,
            "given_mm2",
            f"{load.component}: loses {load.drop_percent:.1f} % ({load.drop_v:.2f} V) there and back, limit "
            f"{100 * load.limit_v / loom.system_v:.3g} %. Take thicker wires than the given ones.",
        )
        for load in loads.values()
        if load.drop_v > load.limit_v * (1 + 1e-6)
    ]


def crowded(worked: Worked) -> list[Fault]:
    """Runs with more loaded wires than the sums are checked for.

    Parameters
    ----------
    worked : Worked
        The loom, worked out.

    Returns
    -------
    list of Fault
        One for each run.
    """
    return [
        Fault(
            FaultKind.HEAT,
            worked.laid.runs[run],
            "wires",
            f"{worked.laid.runs[run]}: {int(worked.heat.loaded[run])} loaded wires in one bundle are more "
            f"than {MOST_WIRES}, for which the sums are checked. Split the bundle.",
        )
        for run in np.flatnonzero(worked.heat.loaded > MOST_WIRES).tolist()
    ]

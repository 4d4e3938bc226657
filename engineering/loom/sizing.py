"""Every wire of a loom: the smallest standard conductor that passes all rules.

A wire passes when

(a) its share of the path's voltage drop is enough for it. A path of several wires shares what it may lose in
    the way that uses least copper: areas in proportion to the root of the current;
(b) it carries its steady current, intermittent loads counted by their heat, in every run that it passes:
    alone by the heat balance, among two or more loaded wires by the grouping factors of BS 7671 up to three,
    and in the reference bundle of `bundles`;
(c) it bears its fuse in the same runs, a short at its far end blows the fuse, and the short's let-through
    leaves its insulation whole;
(d) it is not thinner than handling allows.

Each rule is easier for a thicker wire, and what a rule asks of a wire depends on currents, lengths, routes,
temperatures and least sizes, but not on the sizes chosen for others: where sizes and bundles depend on each
other, that is settled beforehand, in one unknown for each run. So the work ends, and while routes stay, more
current, more length, a hotter place or a tighter limit never make any wire of the loom thinner.

That promise has a price: rounded up one by one, wires may be a size thicker than they had to be beside each
other, and `SizedWire.as_it_stands` says so. `LoomList.trim` takes that up (see `trimming`), and gives up the
promise between wires that share a path. Both cannot be had: where two wires share one limit, no choice can
both leave each the thinnest that passes beside the other as it is, and never thin one when the other is
lengthened; of (thin, thick) and (thick, thin) it would have to take whichever a later change forbids.
"""

import math
from dataclasses import replace

import numpy as np

from engineering.loom.bundles import Bundles, Floats, Places, Sizes, copper_factor, core_c, sizes_of
from engineering.loom.checks import circuit_faults, unsound_entries
from engineering.loom.circuit import Rule
from engineering.loom.circuits import Circuits, follow
from engineering.loom.demands import Demand, Demands, demands_of
from engineering.loom.faults import Fault, FaultyListError
from engineering.loom.inputs import MARGIN_C
from engineering.loom.laying import Laid, lay
from engineering.loom.reasons import (
    Worked,
    crowded,
    given_failures,
    misfits,
    no_wire,
    other_rule,
    too_low,
    why_sized,
)
from engineering.loom.results import LoadVoltage, LoomResult, RunState, SizedWire
from engineering.loom.routes import RouteBook, find_routes
from engineering.loom.rules import Drops, Heat, Memo, Shorts, Truths, drops_of, heat_of, shorts_of
from engineering.loom.trimming import trim
from engineering.loom.wire_list import LoomList
from engineering.loom.wires import WIRES

_EXACT = 1e-9


def size_loom(loom: LoomList, before: LoomResult | None = None) -> LoomResult:
    """Size every wire of a loom.

    Parameters
    ----------
    loom : LoomList
        The list.
    before : LoomResult or None
        The result before a change; only what depends on the change is worked out anew.

    Returns
    -------
    LoomResult
        Each wire with its conductor and the reason, or a fault that says why it has none. With or without
        `before` it is the same.

    Raises
    ------
    FaultyListError
        If a figure or a name of the list cannot be meant; names every one of them.
    """
    unsound = unsound_entries(loom, before.loom if before else None)
    if unsound:
        raise FaultyListError(unsound)
    circuits = follow(loom, (before.loom, before.circuits) if before else None)
    book = find_routes(loom, before.book if before else None)
    faults = (*circuit_faults(loom, circuits), *book.faults)
    asked = demands_of(loom, circuits, book.routes, faults)
    laid = lay(loom, asked, book.routes)
    kept = before.memo if before and before.loom.series is loom.series else Memo()
    memo = Memo() if kept.is_full() else kept
    faults = (*faults, *asked.faults, *laid.faults)
    if not laid.demands:
        return LoomResult(loom, {}, faults, {}, asked.devices, {}, book.routes, circuits, book, memo)
    arrays = sizes_of(loom.series)
    heat = heat_of(laid, arrays, memo)
    given = np.array([_given(demand, arrays) for demand in laid.demands], dtype=np.intp)
    limit_ohm = arrays.ohm_per_m * copper_factor(laid.rated_c - MARGIN_C)[:, None]
    drops = drops_of(laid, asked.budgets, given, limit_ohm)
    shorts = shorts_of(loom, laid, circuits, arrays, limit_ohm, given)
    fails = _fails(laid, arrays, heat, drops, shorts)
    chosen = _chosen(laid, fails, given, len(arrays.area_mm2))
    next_v: dict[int, tuple[int, float, int]] = {}
    if loom.trim:
        others = fails[Rule.PROTECTION] | fails[Rule.CAPACITY] | fails[Rule.MECHANICAL]
        trimmed = trim(laid, arrays, heat, drops, asked.budgets, others, chosen, given)
        chosen, next_v = trimmed.chosen, trimmed.next_v
    worked = Worked(
        loom,
        laid,
        WIRES[loom.series],
        arrays,
        heat,
        drops,
        shorts,
        asked.budgets,
        fails,
        chosen,
        given,
        next_v,
    )
    return _result(worked, asked, faults, circuits, book, memo)


def _given(demand: Demand, arrays: Sizes) -> int:
    if demand.wire.given_mm2 is None:
        return -1
    return int(np.argmin(np.abs(np.log(arrays.area_mm2 / demand.wire.given_mm2))))


def _fails(laid: Laid, arrays: Sizes, heat: Heat, drops: Drops, shorts: Shorts) -> dict[Rule, Truths]:
    bears = np.array([demand.bear_a for demand in laid.demands], dtype=float)[:, None]
    exempt = np.array([demand.exempt for demand in laid.demands], dtype=bool)[:, None]
    floor = np.array([demand.floor_mm2 for demand in laid.demands], dtype=float)[:, None]
    protection = (heat.bears_a < bears * (1 - _EXACT)) | shorts.too_weak | shorts.melts
    return {
        Rule.DROP: heat.ohm_per_m > drops.allowed_ohm_per_m[:, None] * (1 + _EXACT),
        Rule.PROTECTION: protection & ~exempt,
        Rule.CAPACITY: heat.capacity_a < laid.heat_a[:, None] * (1 - _EXACT),
        Rule.MECHANICAL: arrays.area_mm2[None, :] < floor * (1 - 1e-3),
    }


def _chosen(laid: Laid, fails: dict[Rule, Truths], given: Places, count: int) -> Places:
    """First size that passes every rule, `count` where none does; what cannot be sized keeps its least."""
    any_fails = np.logical_or.reduce(list(fails.values()))
    first = np.where(any_fails.all(axis=1), count, np.argmin(any_fails, axis=1))
    first[laid.sized :] = np.argmin(fails[Rule.MECHANICAL][laid.sized :], axis=1)
    return np.where(given >= 0, given, first)


def _result(
    worked: Worked,
    asked: Demands,
    faults: tuple[Fault, ...],
    circuits: Circuits,
    book: RouteBook,
    memo: Memo,
) -> LoomResult:
    laid, sizes = worked.laid, worked.sizes
    count = len(sizes)
    real = np.minimum(worked.chosen, count - 1)
    row_c, run_c = _running(worked, real)
    order = np.lexsort((-row_c, laid.row_wire))
    hottest = order[np.searchsorted(laid.row_wire[order], np.arange(len(laid.demands)))]
    ohm = _actual_ohm(worked, real, row_c)
    drop_v = laid.current_a * ohm * laid.length_m
    rules = list(Rule)
    governing = np.argmax([worked.fails[rule].sum(axis=1) for rule in rules], axis=0).tolist()
    wires: dict[str, SizedWire] = {}
    found = list(faults)
    for n, demand in enumerate(laid.demands[: laid.sized]):
        if worked.chosen[n] >= count:
            found.append(no_wire(worked, n))
            continue
        failures = given_failures(worked, n)
        found.extend(failures)
        k = int(worked.chosen[n])
        rule = rules[governing[n]] if k and worked.given[n] < 0 else None
        if rule is Rule.DROP and worked.loom.trim and n not in worked.next_v:
            rule = other_rule(worked, n, k - 1) or rule
        why = why_sized(worked, n, rule, memo)
        wires[demand.wire.label] = SizedWire(
            wire=demand.wire,
            size=sizes[k],
            rule=rule,
            why=why,
            smaller=sizes[k - 1] if k else None,
            device="" if demand.exempt or demand.device is None else demand.device.name,
            rating_a=0.0 if demand.exempt else demand.bear_a,
            bears_a=float(worked.heat.bears_a[n, k]),
            current_a=demand.current_a,
            capacity_a=float(worked.heat.capacity_a[n, k]),
            running_c=float(row_c[hottest[n]]),
            hottest=laid.runs[laid.row_run[hottest[n]]],
            drop_v=float(drop_v[n]),
            loss_w=float(drop_v[n] * demand.current_a),
            short_a=float(worked.shorts.short_a[n, k]),
            faults=failures,
        )
    wires = _as_they_stand(worked, wires)
    found.extend(misfits(worked.loom, wires))
    found.extend(crowded(worked))
    loads = _loads(worked, wires)
    found.extend(too_low(worked.loom, loads))
    in_order = {wire.label: wires[wire.label] for wire in worked.loom.wires if wire.label in wires}
    return LoomResult(
        loom=worked.loom,
        wires=in_order,
        faults=tuple(found),
        loads=loads,
        devices=asked.devices,
        runs=_runs(worked, run_c),
        routes=book.routes,
        circuits=circuits,
        book=book,
        memo=memo,
    )


def _running(worked: Worked, real: Places) -> tuple[Floats, Floats]:
    """Temperature of each wire in each run, and of the middle of each bundle, with the sizes chosen."""
    laid, arrays = worked.laid, worked.arrays
    bundles = Bundles(laid.row_run, laid.heat_a[laid.row_wire], laid.floor_mm2[laid.row_wire], laid.ambient_c)
    k = real[laid.row_wire]
    middle = core_c(bundles, arrays.ohm_per_m[k], arrays.outer_mm[k])
    several = np.bincount(laid.row_run, minlength=len(laid.runs)) > 1
    middle = np.where(several, middle, laid.ambient_c)
    rise = worked.heat.rise_c[np.arange(len(real)), real][laid.row_wire]
    return np.maximum(laid.ambient_c[laid.row_run] + rise, middle[laid.row_run]), middle


def _actual_ohm(worked: Worked, real: Places, row_c: Floats) -> Floats:
    laid = worked.laid
    factor = copper_factor(row_c)
    run_m = laid.total(laid.row_m)
    extra_m = np.maximum(laid.length_m - run_m, 0.0)
    along = laid.total(factor * laid.row_m) + extra_m * laid.most(factor)
    mean = np.where(run_m + extra_m > 0, along / np.maximum(run_m + extra_m, 1e-9), 1.0)
    return np.asarray(worked.arrays.ohm_per_m[real] * mean)


def _as_they_stand(worked: Worked, wires: dict[str, SizedWire]) -> dict[str, SizedWire]:
    """Name the next size down where, beside the others as rounded up, it would pass after all."""
    count = len(worked.sizes)
    below = np.clip(worked.chosen - 1, 0, count - 1)
    number = np.arange(len(below))
    only_drop = (
        (worked.given < 0) & (worked.chosen > 0) & (worked.chosen < count) & (number < worked.laid.sized)
    )
    for rule in Rule:
        fails = worked.fails[rule][number, below]
        only_drop &= fails if rule is Rule.DROP else ~fails
    if not only_drop.any():
        return wires
    lost: dict[str, list[tuple[float, float]]] = {}
    for budget in worked.budgets:
        whole = all(label in wires for label in budget.wires)
        drop_v = budget.body_v + sum(wires[label].drop_v for label in budget.wires) if whole else math.inf
        for label in budget.wires:
            lost.setdefault(label, []).append((drop_v, budget.limit_v))
    found = dict(wires)
    for n in np.flatnonzero(only_drop).tolist():
        demand, k = worked.laid.demands[n], int(below[n])
        label = demand.wire.label
        thinner_v = demand.current_a * worked.heat.ohm_per_m[n, k] * worked.laid.length_m[n]
        more_v = thinner_v - wires[label].drop_v
        if all(drop_v + more_v <= limit_v for drop_v, limit_v in lost[label]):
            found[label] = replace(wires[label], as_it_stands=worked.sizes[k])
    return found


def _loads(worked: Worked, wires: dict[str, SizedWire]) -> dict[str, LoadVoltage]:
    loads = {}
    for budget in worked.budgets:
        if all(label in wires for label in budget.wires):
            drop_v = budget.body_v + sum(wires[label].drop_v for label in budget.wires)
            volts = worked.loom.system_v
            loads[budget.component] = LoadVoltage(
                budget.component, volts - drop_v, drop_v, 100 * drop_v / volts, budget.limit_v
            )
    return loads


def _runs(worked: Worked, run_c: Floats) -> dict[str, RunState]:
    laid = worked.laid
    inside: list[list[str]] = [[] for _ in laid.runs]
    for wire, run in zip(laid.row_wire.tolist(), laid.row_run.tolist(), strict=True):
        inside[run].append(laid.demands[wire].wire.label)
    return {
        name: RunState(
            name,
            float(laid.ambient_c[n]),
            float(run_c[n]),
            tuple(dict.fromkeys(inside[n])),
            int(worked.heat.loaded[n]),
        )
        for n, name in enumerate(laid.runs)
        if inside[n]
    }

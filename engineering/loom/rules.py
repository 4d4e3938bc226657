"""What each size of each wire would do under each rule, as arrays of wires by sizes."""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from engineering.loom.bundles import (
    Bundles,
    Floats,
    Places,
    Sizes,
    capacity_alone_a,
    copper_factor,
    core_c,
    densities,
    running_alone_c,
)
from engineering.loom.circuits import Circuits, Side
from engineering.loom.demands import Budget, Demand
from engineering.loom.fuses import LONG_CARRIED, SHORT_CARRIED, SURE_TO_BLOW
from engineering.loom.inputs import MARGIN_C, SHORT_TERM_C
from engineering.loom.laying import Laid
from engineering.loom.protection import STEADY_FACTOR, TRIP_FACTOR, Rated, blows_within_s, insulation_k
from engineering.loom.thermal import grouping_factor
from engineering.loom.wire_list import DeviceKind, GroundKind, LoomList

Truths = NDArray[np.bool_]

COUNTED = 0.3
"""A wire is loaded, for grouping, from this share of what its thinnest size carries alone: BS 7671 Table 4C1
note, from memory."""

SURE_TO_TRIP = 1.5
"""An electronic output breaks a short of this multiple of its trip current: common practice, no source."""

SURE = {DeviceKind.FUSE: SURE_TO_BLOW, DeviceKind.ELECTRONIC: SURE_TO_TRIP}

UNBOUND_C = 100.0
"""Class of a run in which nothing is loaded; no matter which."""

MOST_KEPT = 20_000
"""Entries of each kind in a `Memo`: some twenty times what a large loom asks for."""

_OFFSETS_C = (-MARGIN_C, 0.0, SHORT_TERM_C)
_GROUPED = np.array([grouping_factor(count) for count in (1, 2, 3)])


@dataclass
class Memo:
    """What was worked out for runs and wires before, by the value of all that it depends on.

    Parameters
    ----------
    runs, alone, rises : dict
        Reference bundles, wires alone, and how much warmer than the air they run.
    words : dict
        Reasons, by all the figures that stand in them.
    """

    runs: dict[tuple[object, ...], tuple[float, ...]] = field(default_factory=dict)
    alone: dict[tuple[float, float], Floats] = field(default_factory=dict)
    rises: dict[tuple[float, float, float], Floats] = field(default_factory=dict)
    words: dict[tuple[object, ...], str] = field(default_factory=dict)

    def is_full(self) -> bool:
        """Whether so much is kept that it is time to begin anew."""
        return max(len(self.runs), len(self.rises), len(self.words)) > MOST_KEPT


@dataclass(frozen=True)
class Heat:
    """What the wires carry, and how warm they run.

    Parameters
    ----------
    capacity_a, bears_a : ndarray, shape (w, k)
        Current that each size of each wire carries in all its runs, and the fuse that it bears [A].
    ohm_per_m : ndarray, shape (w, k)
        Resistance at running temperature, averaged along the wire [ohm/m].
    rise_c : ndarray, shape (w, k)
        How much warmer than the air it runs by itself [°C].
    row_share : ndarray, shape (m,)
        Grouping factor in each run [-].
    core_c : ndarray, shape (n,)
        Temperature in the reference bundle under steady loads [°C].
    loaded : ndarray of int, shape (n,)
        Loaded wires in each run.
    """

    capacity_a: Floats
    bears_a: Floats
    ohm_per_m: Floats
    rise_c: Floats
    row_share: Floats
    core_c: Floats
    loaded: Places


def heat_of(laid: Laid, sizes: Sizes, memo: Memo) -> Heat:
    """Work out what the wires carry in their runs.

    Parameters
    ----------
    laid : Laid
        The wires in their runs.
    sizes : Sizes
        The series.
    memo : Memo
        What is known; filled with what is worked out.

    Returns
    -------
    Heat
        For all wires, also those that cannot be sized.
    """
    reference = _reference(laid, sizes, memo)
    pair_of_row, alone = _alone(laid, sizes, memo)
    floor = np.minimum(np.searchsorted(sizes.area_mm2, laid.floor_mm2 * 0.995), len(sizes.area_mm2) - 1)
    row_wire, row_run = laid.row_wire, laid.row_run
    counted = laid.heat_a[row_wire] > COUNTED * alone[0][pair_of_row, floor[row_wire]]
    loaded = np.bincount(row_run, counted, minlength=len(laid.runs)).astype(np.intp)
    others = loaded[row_run] - counted
    row_share = _GROUPED[np.minimum(others, 2)]
    areas = sizes.area_mm2 * sizes.meets
    carried = [
        laid.least(
            np.minimum(row_share[:, None] * alone[n][pair_of_row], reference[n][row_run][:, None] * areas)
        )
        for n in range(len(_OFFSETS_C))
    ]
    fused = np.array([_is_fused(demand) for demand in laid.demands], dtype=bool)[:, None]
    bears = np.where(
        fused,
        np.minimum(carried[0], np.minimum(carried[1] / LONG_CARRIED, carried[2] / SHORT_CARRIED)),
        carried[0],
    )
    rise = _rises(laid, sizes, laid.least(row_share), memo)
    return Heat(
        carried[0], bears, _hot_ohm(laid, sizes, rise, reference[3]), rise, row_share, reference[3], loaded
    )


def _is_fused(demand: Demand) -> bool:
    return demand.device is not None and demand.device.kind is DeviceKind.FUSE


def _reference(laid: Laid, sizes: Sizes, memo: Memo) -> Floats:
    """Densities of each run for the three temperatures, and its core under steady loads, shape (4, n)."""
    order = np.argsort(laid.row_run, kind="stable")
    ends = np.searchsorted(laid.row_run[order], np.arange(len(laid.runs) + 1))
    heat = laid.heat_a[laid.row_wire]
    floor = laid.floor_mm2[laid.row_wire]
    spare = np.array([_spare(demand) for demand in laid.demands], dtype=float)[laid.row_wire]
    binds = laid.row_wire < laid.sized
    rated = laid.rated_c[laid.row_wire]
    keys: list[tuple[object, ...]] = []
    for run in range(len(laid.runs)):
        rows = order[ends[run] : ends[run + 1]]
        bound = rated[rows][binds[rows] & (heat[rows] > 0)]
        lowest_c = float(bound.min()) if len(bound) else UNBOUND_C
        keys.append(
            (
                sizes.area_mm2[0],
                heat[rows].tobytes(),
                floor[rows].tobytes(),
                spare[rows].tobytes(),
                lowest_c,
                float(laid.ambient_c[run]),
            )
        )
    new = np.array([key not in memo.runs for key in keys], dtype=bool)
    if new.any():
        number = np.cumsum(new) - 1
        rows = order[new[laid.row_run[order]]]
        bundles = Bundles(number[laid.row_run[rows]], heat[rows], floor[rows], laid.ambient_c[new])
        class_c = np.array([key[4] for key, is_new in zip(keys, new, strict=True) if is_new], dtype=float)
        found = _reference_of(sizes, bundles, class_c, spare[rows])
        for key, values in zip(
            (key for key, is_new in zip(keys, new, strict=True) if is_new), found.T, strict=True
        ):
            memo.runs[key] = tuple(values.tolist())
    return np.array([memo.runs[key] for key in keys], dtype=float).reshape(-1, 4).T


def _spare(demand: Demand) -> float:
    """How much more than its steady current a wire's protection makes it bear, at least."""
    if demand.flow.side is not Side.FEED or demand.device is None or not demand.flow.loads:
        return 1.0
    if demand.device.kind is DeviceKind.FUSE:
        return STEADY_FACTOR
    return TRIP_FACTOR if demand.flow.device else 1.0


def _reference_of(sizes: Sizes, bundles: Bundles, class_c: Floats, spare: Floats) -> Floats:
    several = np.bincount(bundles.run, minlength=len(class_c)) > 1
    found = np.empty((4, len(class_c)))
    times = len(_OFFSETS_C)  # the three temperatures as three times the runs, in one go
    thrice = Bundles(
        np.concatenate([bundles.run + n * len(class_c) for n in range(times)]),
        np.tile(bundles.current_a, times),
        np.tile(bundles.floor_mm2, times),
        np.tile(bundles.ambient_c, times),
    )
    top_c = np.concatenate([class_c + offset for offset in _OFFSETS_C])
    found[:times] = np.where(several, densities(sizes, thrice, top_c).reshape(times, -1), math.inf)
    at_limit = bundles.current_a / np.maximum(found[0], 1e-6)[bundles.run]
    ohm = sizes.ohm_at(np.maximum(bundles.floor_mm2, spare * at_limit))
    outer = sizes.outer_at(np.maximum(bundles.floor_mm2, at_limit))
    warm = np.minimum(core_c(bundles, ohm, outer), np.maximum(class_c - MARGIN_C, bundles.ambient_c))
    found[3] = np.where(several, warm, bundles.ambient_c)
    return found


def _alone(laid: Laid, sizes: Sizes, memo: Memo) -> tuple[Places, list[Floats]]:
    """What each size carries alone, for every class of insulation and surroundings that meet."""
    pairs, pair_of_row = np.unique(
        np.stack([laid.rated_c[laid.row_wire], laid.ambient_c[laid.row_run]], axis=1),
        axis=0,
        return_inverse=True,
    )
    tables = []
    for offset in _OFFSETS_C:
        keys = [(rated + offset, ambient) for rated, ambient in pairs.tolist()]
        missing = [key for key in keys if key not in memo.alone]
        if missing:
            top, air = (np.array(column) for column in zip(*missing, strict=True))
            memo.alone.update(zip(missing, capacity_alone_a(sizes, top, air), strict=True))
        tables.append(np.array([memo.alone[key] for key in keys]).reshape(-1, len(sizes.area_mm2)))
    return pair_of_row.reshape(-1), tables


def _rises(laid: Laid, sizes: Sizes, share: Floats, memo: Memo) -> Floats:
    """How much warmer than the air each size of each wire runs where it is hottest, shape (w, k)."""
    hottest = laid.most(laid.ambient_c[laid.row_run])
    limit = np.maximum(laid.rated_c - MARGIN_C, hottest)
    keys = list(zip((laid.heat_a / share).tolist(), hottest.tolist(), limit.tolist(), strict=True))
    missing = list({key for key in keys if key not in memo.rises})
    if missing:
        count = len(sizes.area_mm2)
        amperes, air, top = (np.repeat(np.array(column), count) for column in zip(*missing, strict=True))
        which = np.tile(np.arange(count), len(missing))
        warm = running_alone_c(sizes, which, amperes, air, top) - air
        memo.rises.update(zip(missing, warm.reshape(-1, count), strict=True))
    return np.array([memo.rises[key] for key in keys]).reshape(-1, len(sizes.area_mm2))


def _hot_ohm(laid: Laid, sizes: Sizes, rise_c: Floats, run_core_c: Floats) -> Floats:
    """Resistance at running temperature, mean along the wire, shape (w, k); tails count at the hottest."""
    air, core = laid.ambient_c[laid.row_run], run_core_c[laid.row_run]
    factor = copper_factor(np.maximum(air[:, None] + rise_c[laid.row_wire], core[:, None]))
    run_m = laid.total(laid.row_m)
    extra_m = np.maximum(laid.length_m - run_m, 0.0)
    along = laid.total(factor * laid.row_m[:, None]) + extra_m[:, None] * laid.most(factor)
    length = np.maximum(run_m + extra_m, 1e-9)
    mean = np.where((length > 1e-9)[:, None], along / length[:, None], laid.most(factor))
    return np.asarray(sizes.ohm_per_m * mean)


@dataclass(frozen=True)
class Drops:
    """What each wire may lose.

    Parameters
    ----------
    allowed_ohm_per_m : ndarray, shape (w,)
        Most resistance at running temperature [ohm/m]; infinite where nothing flows.
    budget : ndarray of int, shape (w,)
        Which budget allows no more; -1 where none.
    free_v : ndarray, shape (b,)
        What each budget leaves to wires that are to be sized [V].
    fixed_v : ndarray, shape (b,)
        What body and wires of given size take of it [V].
    """

    allowed_ohm_per_m: Floats
    budget: Places
    free_v: Floats
    fixed_v: Floats


def drops_of(laid: Laid, budgets: tuple[Budget, ...], given: Places, hot_ohm: Floats) -> Drops:
    """Share out what every path may lose.

    Parameters
    ----------
    laid : Laid
        The wires in their runs.
    budgets : tuple of Budget
        What every path may lose.
    given : ndarray of int, shape (w,)
        Which size is given; -1 where it is to be found.
    hot_ohm : ndarray, shape (w, k)
        Resistance of each size at the limit of its insulation [ohm/m].

    Returns
    -------
    Drops
        With shares that use least copper: minimise ΣA·L for ΣI·ρ·L/A = V, which gives A in proportion to √I.
    """
    number = {demand.wire.label: n for n, demand in enumerate(laid.demands)}
    pairs = [
        (b, number[label]) for b, budget in enumerate(budgets) for label in budget.wires if label in number
    ]
    which_b, which_w = (
        np.array(column, dtype=np.intp) for column in (zip(*pairs, strict=True) if pairs else ((), ()))
    )
    is_given = given >= 0
    taken = np.where(
        is_given,
        laid.current_a * hot_ohm[np.arange(len(given)), np.maximum(given, 0)] * laid.length_m,
        0.0,
    )
    fixed_v = np.array([budget.body_v for budget in budgets], dtype=float)
    fixed_v = fixed_v + np.bincount(which_b, taken[which_w], minlength=len(budgets))
    free_v = np.maximum(np.array([budget.limit_v for budget in budgets], dtype=float) - fixed_v, 0.0)
    root = np.sqrt(laid.current_a)
    weight = np.where(is_given, 0.0, root * laid.length_m)
    total = np.bincount(which_b, weight[which_w], minlength=len(budgets))
    allowed = np.full(len(laid.demands), math.inf)
    budget_of = np.full(len(laid.demands), -1, dtype=np.intp)
    shares = ~is_given[which_w] & (root[which_w] > 0) & (total[which_b] > 0)
    b, w = which_b[shares], which_w[shares]
    ohm = free_v[b] / (root[w] * total[b])
    order = np.lexsort((ohm, w))
    w, first = np.unique(w[order], return_index=True)
    allowed[w], budget_of[w] = ohm[order][first], b[order][first]
    return Drops(allowed, budget_of, free_v, fixed_v)


@dataclass(frozen=True)
class Shorts:
    """A short at the far end of each wire.

    Parameters
    ----------
    short_a : ndarray, shape (w, k)
        Its current at least, from a battery without resistance [A]; infinite for returns and signals.
    too_weak, melts : ndarray of bool, shape (w, k)
        Whether it may leave the device closed, and whether it spoils the insulation first.
    """

    short_a: Floats
    too_weak: Truths
    melts: Truths


def shorts_of(
    loom: LoomList, laid: Laid, circuits: Circuits, sizes: Sizes, hot_ohm: Floats, given: Places
) -> Shorts:
    """Try a short at the far end of every wire.

    Parameters
    ----------
    loom : LoomList
        The list.
    laid : Laid
        The wires in their runs.
    circuits : Circuits
        Who feeds whom.
    sizes : Sizes
        The series.
    hot_ohm : ndarray, shape (w, k)
        Resistance of each size at the limit of its insulation [ohm/m].
    given : ndarray of int, shape (w,)
        Which size is given; -1 where it is to be found.

    Returns
    -------
    Shorts
        The wires before it count as thick as the wire itself, which in a tree of feeds is on the safe side;
        in a car with return wires the current comes back through as much wire again.
    """
    loop_m, fixed_ohm, by_body = _loops(loom, laid, circuits, hot_ohm, given)
    wires = np.arange(len(laid.demands))
    own = np.where((given < 0)[:, None], hot_ohm, hot_ohm[wires, np.maximum(given, 0)][:, None])
    rating = np.array([d.device.rating_a if d.device else 1.0 for d in laid.demands], dtype=float)
    body_ohm = np.where(by_body, loom.body_v / rating, 0.0)
    short_a = loom.system_v / np.maximum(own * loop_m[:, None] + (fixed_ohm + body_ohm)[:, None], 1e-6)
    too_weak, melts = np.zeros(hot_ohm.shape, bool), np.zeros(hot_ohm.shape, bool)
    groups: dict[tuple[DeviceKind, str, float], list[int]] = {}
    for n, demand in enumerate(laid.demands):
        if demand.flow.side is not Side.FEED:
            short_a[n] = math.inf
        if n < laid.sized and demand.device is not None and not demand.exempt:
            key = (demand.device.kind, demand.device.family, insulation_k(demand.wire.insulated))
            groups.setdefault(key, []).append(n)
    for (kind, family, k), members in groups.items():
        sure_a = (SURE[kind] * rating[members])[:, None]
        found = short_a[members]
        too_weak[members] = found < sure_a
        # whatever comes back through a return is a short at its load: the weakest that its device breaks
        through_a = np.where(np.isinf(found), sure_a, np.maximum(found, sure_a))
        if kind is DeviceKind.FUSE:
            a2s = through_a**2 * blows_within_s(family, through_a / rating[members][:, None])
        else:
            a2s = np.array([_device(laid, n).inrush_a2s for n in members])[:, None] + 0 * through_a
        melts[members] = a2s > (k * sizes.area_mm2) ** 2
    return Shorts(short_a, too_weak, melts)


def _device(laid: Laid, n: int) -> Rated:
    device = laid.demands[n].device
    assert device is not None, "only wires with a device are grouped"
    return device


def _loops(
    loom: LoomList, laid: Laid, circuits: Circuits, hot_ohm: Floats, given: Places
) -> tuple[Floats, Floats, Truths]:
    """The way of a short at the end of each wire: metres in its own size, ohms of what is fixed, and whether
    it comes back through the body."""
    body = {ground.name for ground in loom.grounds if ground.kind is GroundKind.BODY}
    number = {demand.wire.label: n for n, demand in enumerate(laid.demands)}
    length_m = laid.length_m.tolist()
    given_ohm = (hot_ohm[np.arange(len(given)), np.maximum(given, 0)] * laid.length_m).tolist()
    is_given = (given >= 0).tolist()
    found: dict[int, tuple[float, float, bool]] = {}
    for path in circuits.paths.values():
        before_m, before_ohm = 0.0, 0.0
        by_body = not path.ground or path.ground in body
        ways = 1 if by_body else 2
        for label in path.feed:
            n = number.get(label)
            if n is None:
                continue
            loop = (ways * (before_m + length_m[n]), ways * before_ohm, by_body)
            if n not in found or loop > found[n]:
                found[n] = loop
            if is_given[n]:
                before_ohm += given_ohm[n]
            else:
                before_m += length_m[n]
    loops = [found.get(n, (2 * length_m[n], 0.0, False)) for n in range(len(laid.demands))]
    metres, ohms, bodies = zip(*loops, strict=True)
    return np.array(metres), np.array(ohms), np.array(bodies, dtype=bool)

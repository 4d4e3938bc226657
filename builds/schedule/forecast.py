"""When something will be done, as a distribution: the whole network drawn many times over.

No averages are added up. Every draw gives each activity a length, runs the forward pass over the whole
network with its calendars, lags, batches and whereabouts, and notes when the targets are reached [1]_.
Where paths meet, the last of them sets the date in every single draw, which is why these dates are
later than those of the average lengths.

References
----------
.. [1] R.M. Van Slyke (1963) 'Monte Carlo methods and the PERT problem', Operations Research 11(5),
   839-860; also the criticality index. From memory.
.. [2] W.J. Conover (1999) 'Practical Nonparametric Statistics', 3rd ed., Wiley, section 3.2: confidence
   interval for a quantile from order statistics. From memory.
"""

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from builds.schedule.calendar import WorkCalendar
from builds.schedule.draws import Together
from builds.schedule.errors import BadChance, BadForecast, BeyondHorizon, UnknownActivity
from builds.schedule.network import Network
from builds.schedule.pert import FOUR_IN_FIVE
from builds.schedule.simulation import Block, Drive, Mask, Simulation, leading_to
from builds.schedule.spread import Fixed, Spread

BLOCK_LENGTHS = 10_000_000  # lengths in memory at a time; more draws a block are less work
MOST_DRAWS = 80_000  # where a date is still not stable, no more are drawn than this
STABLE_DAYS = 0.5  # a date is stable when its 95 % interval reaches no further than this on either side

_TWO_SIDED_95 = 1.959964  # standard normal score


@dataclass(frozen=True)
class Outcome:
    """What the draws say about one target.

    Parameters
    ----------
    key : str
        The target.
    finishes : ndarray of int64
        Its finish in every draw, in order and not to be written to [min].
    horizon : WorkCalendar
        The calendar that ends first among those of the target and all that leads to it.
    off_by_min : float
        How far the 95 % confidence interval of the four-in-five date reaches from it, in working minutes of
        the target's calendar [min].
    is_stable : bool
        Whether that is within half a working day (or what was asked for).
    criticality : mapping of str to float
        For each activity that leads to the target the share of draws in which it is on a path that sets
        the date. Where several links alone would each give the same date, all of them set it: arriving on
        Saturday or on Sunday, if work begins on Monday, is a tie.
    contribution_min : mapping of str to float
        For each activity whose length is drawn the covariance of its length with the finish, over the
        standard deviation of the finish. Along one chain these add up to that standard deviation; in
        a network the activities that set the date seldom have little. Elapsed minutes [min].
    """

    key: str
    finishes: NDArray[np.int64] = field(repr=False)
    horizon: WorkCalendar = field(repr=False)
    off_by_min: float
    is_stable: bool
    criticality: Mapping[str, float] = field(repr=False)
    contribution_min: Mapping[str, float] = field(repr=False)

    @property
    def even_chance(self) -> int:
        """The moment by which it is done with an even chance [min]; see `quantile`."""
        return self.quantile(0.5)

    @property
    def four_in_five(self) -> int:
        """The moment by which it is done in four draws of five [min]; see `quantile`."""
        return self.quantile(FOUR_IN_FIVE)

    @property
    def mean_min(self) -> float:
        """Mean of the finishes [min]; draws beyond the horizon count as somewhat after it."""
        return float(self.finishes.mean())

    @property
    def sd_min(self) -> float:
        """Standard deviation of the finishes [min]."""
        return float(self.finishes.std(ddof=1)) if self.finishes.size > 1 else 0.0

    @property
    def beyond(self) -> int:
        """In how many draws the finish falls after the horizon, where no calendar says anything."""
        return int(self.finishes.size - np.searchsorted(self.finishes, self.horizon.closes, "right"))

    def quantile(self, chance: float) -> int:
        """Give the moment by which it is done with a given chance.

        Parameters
        ----------
        chance : float
            Greater than 0 and less than 1.

        Returns
        -------
        int
            The earliest finish that at least this share of the draws keeps [min].

        Raises
        ------
        BadChance
            If `chance` is not between 0 and 1.
        BeyondHorizon
            If that is after the horizon; `key` is the target.
        """
        if not 0 < chance < 1:
            raise BadChance(chance)
        moment = int(self.finishes[_rank(chance, self.finishes.size)])
        if moment > self.horizon.closes:
            raise BeyondHorizon(self.horizon.first, self.horizon.last, self.key)
        return moment

    def chance_by(self, moment: int) -> float:
        """Give the chance that it is done by a moment.

        Parameters
        ----------
        moment : int
            Any moment [min].

        Returns
        -------
        float
            Share of the draws, from 0 to 1.
        """
        return float(np.searchsorted(self.finishes, moment, "right") / self.finishes.size)


@dataclass(frozen=True)
class Forecast:
    """What the draws say about all targets.

    Parameters
    ----------
    outcomes : mapping of str to Outcome
        By target.
    draws : int
        How many there are.
    seed : int
        What they were made from.
    """

    outcomes: Mapping[str, Outcome]
    draws: int
    seed: int

    @property
    def is_stable(self) -> bool:
        """Whether the four-in-five date of every target is."""
        return all(outcome.is_stable for outcome in self.outcomes.values())


@dataclass(frozen=True, slots=True)
class FirmDate:
    """What it would be worth to know some lengths for certain.

    Parameters
    ----------
    name : str
        Whose: a supplier, a batch, a job.
    even_chance, four_in_five : int
        The dates of the target if these lengths were their medians for certain [min].
    narrower_min : int
        By how much the four-in-five date would come nearer to the even chance; elapsed minutes [min].
    """

    name: str
    even_chance: int
    four_in_five: int
    narrower_min: int


def forecast(
    network: Network,
    spreads: Mapping[str, Spread],
    targets: Collection[str],
    seed: int,
    draws: int = 10_000,
    most_draws: int = MOST_DRAWS,
    together: Mapping[str, Together] | None = None,
    stable_days: float = STABLE_DAYS,
    block: int | None = None,
    with_criticality: bool = True,
) -> Forecast:
    """Draw the network many times and say when the targets will be reached.

    Parameters
    ----------
    network : Network
        The activities, their links and calendars. A batch is a milestone that its pieces lead to;
        where a car is away, its jobs keep a calendar that is closed.
    spreads : mapping of str to Spread
        How long each activity may take, in working minutes of its calendar; one without a spread takes its
        `work_min`. What has been going on for a while is given as what remains of it. A length that
        is drawn is rounded to the minute and is at least 1.
    targets : collection of str
        Activities or milestones that are asked about.
    seed : int
        Not negative. The same seed gives the same answer, and gives each activity the same lengths
        whatever else is in the network.
    draws : int, optional
        How many to begin with. Rounded up to an even number.
    most_draws : int, optional
        They are doubled until the four-in-five date of every target is stable, up to this many.
    together : mapping of str to Together, optional
        Activities that take long together, such as the pieces of one batch.
    stable_days : float, optional
        What is called stable: the 95 % confidence interval [2]_ of the four-in-five date reaches no
        further than this on either side, in average working days of the target's calendar [d].
    block : int, optional
        Draws worked at a time, an even number; by default so many that memory stays below some 200 MB.
        Dates and criticality do not depend on it at all, and contributions only by rounding.
    with_criticality : bool, optional
        False leaves criticality out and saves a quarter of the time.

    Returns
    -------
    Forecast
        A draw that does not fit into the calendars is counted in `Outcome.beyond`, and a date that
        falls among such draws is refused by `Outcome.quantile`: never a date past the horizon.

    Raises
    ------
    BadForecast
        If there is no target, or the seed, the draws, `stable_days` or the block cannot be.
    UnknownActivity
        If a key of `spreads`, `targets` or `together` is not in the network.
    BeyondHorizon
        If an activity does not fit into its calendar even if everything goes as fast as it can.

    Examples
    --------
    >>> from datetime import date
    >>> from builds.schedule.network import Activity, Link
    >>> from builds.schedule.spread import Triangular
    >>> clock = {"clock": WorkCalendar.around_the_clock(date(2000, 1, 1), date(2000, 1, 31))}
    >>> jobs = [Activity("left", 500, "clock"), Activity("right", 500, "clock"), Activity("both", 0, "clock")]
    >>> network = Network.build(jobs, [Link("left", "both"), Link("right", "both")], clock, 0)
    >>> even = Triangular(0, 500, 1000)
    >>> found = forecast(network, {"left": even, "right": even}, ["both"], seed=1).outcomes["both"]
    >>> found.even_chance, round(found.criticality["left"], 1), found.is_stable
    (618, 0.5, True)
    """
    _refuse_bad(targets, seed, draws, most_draws, stable_days, block)
    simulation = Simulation(network, spreads, targets, seed, together or {})
    gathered = [_Gathered(simulation, key) for key in simulation.targets]
    size = block or _fitting_block(len(simulation.steps))
    wanted, done = draws + draws % 2, 0
    while True:
        for drawn in simulation.blocks(_sizes(wanted - done, size), with_criticality):
            _gather(gathered, drawn, with_criticality)
        done = wanted
        outcomes = {one.key: one.outcome(stable_days) for one in gathered}
        if done >= most_draws or all(outcome.is_stable for outcome in outcomes.values()):
            return Forecast(outcomes, done, seed)
        wanted = min(2 * done, most_draws + most_draws % 2)


def firm_dates(
    network: Network,
    spreads: Mapping[str, Spread],
    found: Forecast,
    target: str,
    firm: Mapping[str, Collection[str]],
    together: Mapping[str, Together] | None = None,
) -> tuple[FirmDate, ...]:
    """Work out what firm dates would be worth: 'two days of certainty would come from …'.

    Parameters
    ----------
    network : Network
        As the forecast was made from.
    spreads : mapping of str to Spread
        As the forecast was made from.
    found : Forecast
        The forecast; its seed and its number of draws are used again, so that nothing differs by luck.
    target : str
        One of its targets.
    firm : mapping of str to collection of str
        For each name the activities whose lengths would be known: their medians.
    together : mapping of str to Together, optional
        As the forecast was made from.

    Returns
    -------
    tuple of FirmDate
        One for each name, the one that narrows the dates most first.

    Raises
    ------
    UnknownActivity
        If a key is not in the network, or the target is not in the forecast.
    BeyondHorizon
        If one of the dates is after the horizon.
    """
    if target not in found.outcomes:
        raise UnknownActivity((target,))
    before = found.outcomes[target]
    width = before.four_in_five - before.even_chance
    worth = []
    for name, keys in firm.items():
        known = {key: Fixed(spreads[key].median_min) for key in keys if key in spreads}
        again = forecast(
            network,
            {**spreads, **known},
            [target],
            found.seed,
            draws=found.draws,
            most_draws=found.draws,
            together=together,
            with_criticality=False,
        ).outcomes[target]
        even, four = again.even_chance, again.four_in_five
        worth.append(FirmDate(name, even, four, width - (four - even)))
    return tuple(sorted(worth, key=lambda date: (-date.narrower_min, date.name)))


class _Gathered:
    """What the blocks have said so far about one target."""

    def __init__(self, simulation: Simulation, key: str) -> None:
        network = simulation.network
        self.key = key
        self.place = network.place[key]
        self.leading = leading_to(network, [self.place])
        self.simulation = simulation
        self.finishes: list[NDArray[np.int64]] = []
        self.reference = simulation.earliest.finish[key]  # dates are counted from here, to lose no digits
        self.steps = [step.place for step in reversed(simulation.steps) if step.place in self.leading]
        self.critical = dict.fromkeys(reversed(self.steps), 0)
        self.products = np.zeros(len(simulation.drawn))
        self.sums = np.zeros(len(simulation.drawn))

    def count_critical(self, drives: Mapping[int, list[Drive]], size: int) -> None:
        """Go back from the target along what sets each date, in all draws of a block at once."""
        sets: dict[int, Mask | None] = {self.place: None}
        for place in self.steps:
            if place not in sets:
                continue
            mask = sets.pop(place)
            self.critical[place] += size if mask is None else int(np.count_nonzero(mask))
            for before, driving in drives[place]:
                along = _both(mask, driving)
                sets[before] = _either(sets[before], along) if before in sets else along

    def outcome(self, stable_days: float) -> Outcome:
        finishes = np.sort(np.concatenate(self.finishes))
        finishes.flags.writeable = False
        network = self.simulation.network
        calendar = network.calendars[network.activities[self.place].calendar]
        horizon = min(
            (network.calendars[network.activities[place].calendar] for place in self.leading),
            key=lambda one: one.closes,
        )
        off_by = _off_by(finishes, calendar)
        return Outcome(
            key=self.key,
            finishes=finishes,
            horizon=horizon,
            off_by_min=off_by,
            is_stable=off_by <= stable_days * _day_min(calendar),
            criticality={
                network.keys[place]: count / finishes.size for place, count in self.critical.items()
            },
            contribution_min=self._contributions(finishes),
        )

    def _contributions(self, finishes: NDArray[np.int64]) -> dict[str, float]:
        count, sd = finishes.size, float(finishes.std())
        after = float(finishes.mean()) - self.reference
        shares = self.products / count - self.sums / count * after
        return {
            key: float(share) / sd if sd else 0.0
            for key, share in zip(self.simulation.drawn, shares, strict=True)
            if self.simulation.network.place[key] in self.leading
        }


def _gather(gathered: list[_Gathered], drawn: Block, with_criticality: bool) -> None:
    size = drawn.finishes[0].size
    after = np.ones((size, len(gathered) + 1), np.float32)
    for column, (one, finishes) in enumerate(zip(gathered, drawn.finishes, strict=True)):
        one.finishes.append(finishes.astype(np.int64))
        after[:, column] = finishes - one.reference
        if with_criticality:
            one.count_critical(drawn.drives, size)
    products = (drawn.lengths @ after).astype(np.float64)
    for column, one in enumerate(gathered):
        one.products += products[:, column]
        one.sums += products[:, -1]


def _both(mask: Mask | None, other: Mask | None) -> Mask | None:
    if mask is None:
        return other
    return mask if other is None else mask & other


def _either(mask: Mask | None, other: Mask | None) -> Mask | None:
    return None if mask is None or other is None else mask | other


def _rank(chance: float, size: int) -> int:
    """Give the index, among finishes in order, of the first that at least this share keeps."""
    return max(0, math.ceil(chance * size - 1e-9) - 1)


def _off_by(finishes: NDArray[np.int64], calendar: WorkCalendar) -> float:
    """Give how far the 95 % interval of the four-in-five date reaches, in working minutes."""
    size = finishes.size
    reach = _TWO_SIDED_95 * math.sqrt(size * FOUR_IN_FIVE * (1 - FOUR_IN_FIVE))
    low = math.floor(size * FOUR_IN_FIVE - reach) - 1
    high = math.ceil(size * FOUR_IN_FIVE + reach)
    if finishes[0] == finishes[-1]:
        return 0.0
    if low < 0 or high >= size:
        return math.inf
    dates = np.clip(finishes[[low, _rank(FOUR_IN_FIVE, size), high]], calendar.opens, calendar.closes)
    below, above = np.diff(calendar.between_many(calendar.opens, dates))
    return float(max(below, above))


def _day_min(calendar: WorkCalendar) -> float:
    """Give the average length of a working day."""
    from_first = calendar.days_between(calendar.first, calendar.last)
    return calendar.total_min / max(1, from_first)


def _fitting_block(activities: int) -> int:
    return min(5000, max(500, BLOCK_LENGTHS // max(1, activities) // 2 * 2))


def _sizes(draws: int, block: int) -> Iterator[int]:
    while draws > 0:
        yield min(block, draws)
        draws -= block


def _refuse_bad(
    targets: Collection[str], seed: int, draws: int, most_draws: int, stable_days: float, block: int | None
) -> None:
    if not targets:
        raise BadForecast("none", "at least one target")
    if seed < 0:
        raise BadForecast(seed, "a seed that is not negative")
    if draws < 2 or most_draws < draws:
        raise BadForecast(f"{draws} to {most_draws}", "at least 2 draws, and no fewer at most than at first")
    if not stable_days > 0:
        raise BadForecast(stable_days, "a number of days greater than 0 that is called stable")
    if block is not None and (block < 2 or block % 2):
        raise BadForecast(block, "an even number of draws in a block")

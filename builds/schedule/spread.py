"""How long something may take: a length of time as a distribution, in working minutes.

Every spread answers three questions: the length within which it is done with a given chance, the
chance of being done within a given length, and its mean and standard deviation. A forecast needs
only the first, so a new kind of spread is one class with `quantiles`.

The modified beta of three-point estimates keeps the mean of the PERT paper [1]_ exactly: its shape is
alpha = 1 + 4 (likely - low) / (high - low) and beta = 1 + 4 (high - likely) / (high - low), so that
alpha + beta = 6 [2]_. Its variance, (mean - low)(high - mean) / 7, is that of a true beta distribution and
equals the paper's ((high - low) / 6)² only where the mode is near the quarter points; the paper's
variance was a convention, defended in [3]_.

References
----------
.. [1] D.G. Malcolm, J.H. Roseboom, C.E. Clark, W. Fazar (1959) 'Application of a technique for
   research and development program evaluation', Operations Research 7(5), 646-669.
.. [2] D. Vose (2008) 'Risk Analysis: a quantitative guide', 3rd ed., Wiley, on the (modified) PERT
   distribution. From memory.
.. [3] C.E. Clark (1962) 'The PERT model for the distribution of an activity time', Operations
   Research 10(3), 405-406. From memory.
"""

import math
from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from builds.schedule.errors import BadChance, BadDuration
from builds.schedule.spans import DAY_MIN

OUTLASTED = 0.05  # with less chance than this of taking so long, an estimate with an end is proven wrong
LEAST_CHANCE = 1e-6  # a distribution without an end is not cut off any further out than this

Floats = NDArray[np.float64]

_ORDER = "low, likely and high in this order and not less than 0"
_NORMAL = NormalDist()
_HALF_TURN = np.linspace(0.0, np.pi / 2, 2049)  # angles of the beta tables; every second is a node
_SHAPES = 257  # ready-made beta shapes, from mode 0 to mode 1
_MIDDLES = (np.arange(4096) + 0.5) / 4096  # chances at which a mean is taken where no formula gives it


class Spread(ABC):
    """A length of time that is not certain; the base of all kinds."""

    @abstractmethod
    def quantiles(self, chances: ArrayLike) -> Floats:
        """Give the lengths within which it is done with given chances.

        Parameters
        ----------
        chances : array_like
            Each greater than 0 and less than 1.

        Returns
        -------
        ndarray of float64
            Never falling as the chance rises, never negative [min].
        """

    @abstractmethod
    def chance_within(self, length_min: float) -> float:
        """Give the chance that it is done within a length of time.

        Parameters
        ----------
        length_min : float
            Any length [min].

        Returns
        -------
        float
            From 0 to 1.
        """

    @property
    def is_certain(self) -> bool:
        """Whether it can have one length only."""
        return False

    @property
    def has_end(self) -> bool:
        """Whether there is a length that it cannot exceed."""
        return True

    @property
    def mean_min(self) -> float:
        """Its mean [min]."""
        return float(self._middles.mean())

    @property
    def sd_min(self) -> float:
        """Its standard deviation [min]."""
        return float(self._middles.std())

    @property
    def median_min(self) -> float:
        """The length that is kept with an even chance [min]."""
        return self.at(0.5)

    def at(self, chance: float) -> float:
        """Give the length within which it is done with one chance.

        Parameters
        ----------
        chance : float
            Greater than 0 and less than 1.

        Returns
        -------
        float
            The length [min].

        Raises
        ------
        BadChance
            If `chance` is not between 0 and 1.

        Examples
        --------
        >>> Triangular(0, 0, 100).at(0.75)
        50.0
        """
        if not 0 < chance < 1:
            raise BadChance(chance)
        return float(self.quantiles([chance])[0])

    @cached_property
    def _middles(self) -> Floats:
        return self.quantiles(_MIDDLES)


@dataclass(frozen=True)
class Fixed(Spread):
    """A length that is certain.

    Parameters
    ----------
    length_min : float
        Not negative [min].

    Raises
    ------
    BadDuration
        If it is negative or not finite.

    Examples
    --------
    >>> Fixed(90).at(0.8), Fixed(90).sd_min
    (90.0, 0.0)
    """

    length_min: float

    def __post_init__(self) -> None:
        _refuse_bad(self.length_min)

    @property
    def is_certain(self) -> bool:
        """It can have one length only."""
        return True

    def quantiles(self, chances: ArrayLike) -> Floats:
        return np.full(np.shape(chances), float(self.length_min))

    def chance_within(self, length_min: float) -> float:
        return 1.0 if length_min >= self.length_min else 0.0


@dataclass(frozen=True)
class Pert(Spread):
    """The modified beta distribution of a three-point estimate.

    Parameters
    ----------
    low, likely, high : float
        If all goes well, most likely, if all goes badly: not negative, in this order [min].

    Raises
    ------
    BadDuration
        If they are not finite, not in order, or negative.

    Examples
    --------
    >>> lead = Pert(2 * 1440, 5 * 1440, 14 * 1440)
    >>> lead.mean_min / 1440, round(lead.at(0.8) / 1440, 2)
    (6.0, 7.88)
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        _refuse_disorder(self.low, self.likely, self.high)

    @property
    def is_certain(self) -> bool:
        """Whether it can have one length only."""
        return self.low == self.high

    @property
    def mean_min(self) -> float:
        """(low + 4 likely + high) / 6 [min]."""
        return (self.low + 4 * self.likely + self.high) / 6

    @property
    def sd_min(self) -> float:
        """Standard deviation of the beta distribution, not of the paper's convention [min]."""
        return math.sqrt((self.mean_min - self.low) * (self.high - self.mean_min) / 7)

    @property
    def mode(self) -> float:
        """Where the likely length lies between low (0) and high (1); 0 where these are the same."""
        return (self.likely - self.low) / (self.high - self.low) if self.high > self.low else 0.0

    def quantiles(self, chances: ArrayLike) -> Floats:
        unit = _unit_beta_quantiles(_beta_sums(np.array([self.mode]))[0], np.asarray(chances, np.float64))
        return self.low + (self.high - self.low) * unit

    def chance_within(self, length_min: float) -> float:
        if length_min >= self.high:
            return 1.0
        if length_min <= self.low:
            return 0.0
        angle = math.asin(math.sqrt((length_min - self.low) / (self.high - self.low)))
        sums = _beta_sums(np.array([self.mode]))[0]
        return float(np.interp(angle, _HALF_TURN[::2], sums))


@dataclass(frozen=True)
class Triangular(Spread):
    """The triangular distribution of a three-point estimate: it weighs the far ends more than the beta.

    Parameters
    ----------
    low, likely, high : float
        If all goes well, most likely, if all goes badly: not negative, in this order [min].

    Raises
    ------
    BadDuration
        If they are not finite, not in order, or negative.

    Examples
    --------
    >>> Triangular(0, 60, 120).mean_min, Triangular(0, 60, 120).at(0.5)
    (60.0, 60.0)
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        _refuse_disorder(self.low, self.likely, self.high)

    @property
    def is_certain(self) -> bool:
        """Whether it can have one length only."""
        return self.low == self.high

    @property
    def mean_min(self) -> float:
        """(low + likely + high) / 3 [min]."""
        return (self.low + self.likely + self.high) / 3

    @property
    def sd_min(self) -> float:
        """Standard deviation [min]."""
        rise, fall = self.likely - self.low, self.high - self.likely
        return math.sqrt((rise * rise + rise * fall + fall * fall) / 18)

    def quantiles(self, chances: ArrayLike) -> Floats:
        chance = np.asarray(chances, np.float64)
        width = self.high - self.low
        if width == 0:
            return np.full(chance.shape, float(self.low))
        rising = self.low + np.sqrt(chance * width * (self.likely - self.low))
        falling = self.high - np.sqrt((1 - chance) * width * (self.high - self.likely))
        return np.where(chance * width < self.likely - self.low, rising, falling)

    def chance_within(self, length_min: float) -> float:
        if length_min >= self.high:
            return 1.0
        if length_min <= self.low:
            return 0.0
        width = self.high - self.low
        if length_min < self.likely:
            return (length_min - self.low) ** 2 / (width * (self.likely - self.low))
        return 1 - (self.high - length_min) ** 2 / (width * (self.high - self.likely))


@dataclass(frozen=True)
class Lognormal(Spread):
    """A length whose logarithm is normal: what a supplier's record gives for a new promise.

    Parameters
    ----------
    median : float
        Greater than 0 [min].
    log_sd : float
        Standard deviation of the natural logarithm, not negative.

    Raises
    ------
    BadDuration
        If either is not finite or out of range.

    Examples
    --------
    >>> Lognormal(1440, 0.5).at(0.8413) / 1440
    1.6486
    """

    median: float
    log_sd: float

    def __post_init__(self) -> None:
        _refuse_bad(self.log_sd)
        if not (math.isfinite(self.median) and self.median > 0):
            raise BadDuration(self.median, "greater than 0")

    @property
    def is_certain(self) -> bool:
        """Whether it can have one length only."""
        return self.log_sd == 0

    @property
    def has_end(self) -> bool:
        """There is no length that it cannot exceed, unless it is certain."""
        return self.is_certain

    @property
    def mean_min(self) -> float:
        """Median times exp(log_sd² / 2) [min]."""
        return self.median * math.exp(self.log_sd**2 / 2)

    @property
    def sd_min(self) -> float:
        """Standard deviation [min]."""
        return self.mean_min * math.sqrt(math.expm1(self.log_sd**2))

    def quantiles(self, chances: ArrayLike) -> Floats:
        return self.median * np.exp(self.log_sd * normal_scores(chances))

    def chance_within(self, length_min: float) -> float:
        if length_min <= 0:
            return 0.0
        if self.log_sd == 0:
            return 1.0 if length_min >= self.median else 0.0
        return _NORMAL.cdf(math.log(length_min / self.median) / self.log_sd)


@dataclass(frozen=True)
class Ratios(Spread):
    """A promise times one of the ratios, actual over promised, that a supplier has shown before.

    Between the ratios, put in order, lengths are interpolated; the i-th of n stands at the chance
    (i - 1/2) / n. Nothing is shorter or longer than what has happened, so a short record is too sure of
    itself: `supplier_record` is meant for those.

    Parameters
    ----------
    promise_min : float
        Not negative [min].
    ratios : tuple of float
        At least one, each greater than 0, in any order.

    Raises
    ------
    BadDuration
        If a figure is not finite or out of range, or there is no ratio.

    Examples
    --------
    >>> Ratios(1440, (1.0, 1.2, 2.0)).at(0.5) / 1440
    1.2
    """

    promise_min: float
    ratios: tuple[float, ...]

    def __post_init__(self) -> None:
        _refuse_bad(self.promise_min)
        if not self.ratios or not all(math.isfinite(ratio) and ratio > 0 for ratio in self.ratios):
            raise BadDuration(self.ratios, "at least one ratio, each greater than 0")

    @property
    def is_certain(self) -> bool:
        """Whether it can have one length only."""
        return len(set(self.ratios)) == 1

    def quantiles(self, chances: ArrayLike) -> Floats:
        stands, lengths = self._steps
        return np.interp(np.asarray(chances, np.float64), stands, lengths)

    def chance_within(self, length_min: float) -> float:
        stands, lengths = self._steps
        if length_min < lengths[0]:
            return 0.0
        if length_min >= lengths[-1]:
            return 1.0
        return float(np.interp(length_min, lengths, stands))

    @cached_property
    def _steps(self) -> tuple[Floats, Floats]:
        count = len(self.ratios)
        return (np.arange(count) + 0.5) / count, self.promise_min * np.sort(np.array(self.ratios, np.float64))


@dataclass(frozen=True)
class Overdue(Spread):
    """What is still to come of something that has outlasted its estimate.

    A least time, then a time that has no memory (exponential): however long it has been late, the
    estimate says no more than it did.

    Parameters
    ----------
    least_min : float
        Nothing is expected sooner; not negative [min].
    more_min : float
        Mean of the time after that, not negative [min].

    Raises
    ------
    BadDuration
        If either is negative or not finite.

    Examples
    --------
    >>> Overdue(1440, 2880).mean_min / 1440
    3.0
    """

    least_min: float
    more_min: float

    def __post_init__(self) -> None:
        _refuse_bad(self.least_min)
        _refuse_bad(self.more_min)

    @property
    def is_certain(self) -> bool:
        """Whether it can have one length only."""
        return self.more_min == 0

    @property
    def has_end(self) -> bool:
        """There is no length that it cannot exceed, unless it is certain."""
        return self.is_certain

    @property
    def mean_min(self) -> float:
        """Least time and mean time after it [min]."""
        return self.least_min + self.more_min

    @property
    def sd_min(self) -> float:
        """Standard deviation: that of the exponential part is its mean [min]."""
        return self.more_min

    def quantiles(self, chances: ArrayLike) -> Floats:
        return self.least_min - self.more_min * np.log1p(-np.asarray(chances, np.float64))

    def chance_within(self, length_min: float) -> float:
        over = length_min - self.least_min
        if over < 0:
            return 0.0
        return -math.expm1(-over / self.more_min) if self.more_min else 1.0


@dataclass(frozen=True)
class Shifted(Spread):
    """A spread and a certain length after it: a lead time with its carriage.

    Parameters
    ----------
    spread : Spread
        What is not certain.
    by_min : float
        What is, not negative [min].

    Raises
    ------
    BadDuration
        If `by_min` is negative or not finite.

    Examples
    --------
    >>> Shifted(Pert(1, 2, 3), 10).mean_min
    12.0
    """

    spread: Spread
    by_min: float

    def __post_init__(self) -> None:
        _refuse_bad(self.by_min)

    @property
    def is_certain(self) -> bool:
        """Whether it can have one length only."""
        return self.spread.is_certain

    @property
    def has_end(self) -> bool:
        """As the spread in it."""
        return self.spread.has_end

    @property
    def mean_min(self) -> float:
        """Both means [min]."""
        return self.spread.mean_min + self.by_min

    @property
    def sd_min(self) -> float:
        """That of the spread in it [min]."""
        return self.spread.sd_min

    def quantiles(self, chances: ArrayLike) -> Floats:
        return self.spread.quantiles(chances) + self.by_min

    def chance_within(self, length_min: float) -> float:
        return self.spread.chance_within(length_min - self.by_min)


@dataclass(frozen=True)
class Remaining(Spread):
    """What is left of a spread, given that it has taken some time already; make one with `remaining`.

    Parameters
    ----------
    spread : Spread
        The whole length as it was seen before it began.
    elapsed_min : float
        How long it has taken already [min].

    Examples
    --------
    >>> Remaining(Triangular(0, 0, 100), 50).at(0.75)
    25.0
    """

    spread: Spread
    elapsed_min: float

    @property
    def has_end(self) -> bool:
        """As the whole."""
        return self.spread.has_end

    def quantiles(self, chances: ArrayLike) -> Floats:
        still = 1 - self._gone
        whole = self.spread.quantiles(1 - still * (1 - np.asarray(chances, np.float64)))
        return np.maximum(whole - self.elapsed_min, 0.0)

    def chance_within(self, length_min: float) -> float:
        if length_min < 0:
            return 0.0
        within = self.spread.chance_within(self.elapsed_min + length_min)
        return (within - self._gone) / (1 - self._gone)

    @cached_property
    def _gone(self) -> float:
        return self.spread.chance_within(self.elapsed_min)


def remaining(spread: Spread, elapsed_min: float, least_min: float = DAY_MIN) -> Spread:
    """Give what is left of something that has been going on for a while and is not done.

    Parameters
    ----------
    spread : Spread
        Its whole length, as seen before it began.
    elapsed_min : float
        How long it has taken already, in the same working minutes [min].
    least_min : float, optional
        Least time left once the estimate is outlasted: by default one whole working day [min].

    Returns
    -------
    Spread
        The distribution cut off below the time elapsed, less that time. Where the spread has an end and
        gave a chance of less than ``OUTLASTED`` of taking so long, or has none and gave less than
        ``LEAST_CHANCE``, the estimate is proven wrong and its tail says nothing: then `Overdue`, with
        `least_min` and after that a mean of one standard deviation of the spread, but not less than
        `least_min`. (Our own convention, no source.)

    Raises
    ------
    BadDuration
        If `elapsed_min` or `least_min` is negative or not finite.

    Notes
    -----
    A job that took 3 to 10 days and has taken 8 is not forecast from day 0; nor is it done at
    once because 10 is near.

    Examples
    --------
    >>> lead = Triangular(0, 0, 100)
    >>> remaining(lead, 0) == lead, remaining(lead, 50).at(0.75)
    (True, 25.0)
    >>> remaining(lead, 300, least_min=10)
    Overdue(least_min=10, more_min=23.5702)
    """
    _refuse_bad(elapsed_min)
    _refuse_bad(least_min)
    if elapsed_min == 0:
        return spread
    still = 1 - spread.chance_within(elapsed_min)
    if still < (OUTLASTED if spread.has_end else LEAST_CHANCE):
        return Overdue(least_min, max(spread.sd_min, least_min))
    return Remaining(spread, elapsed_min)


def normal_scores(chances: ArrayLike) -> Floats:
    """Give the standard normal scores of some chances.

    Parameters
    ----------
    chances : array_like
        Each greater than 0 and less than 1.

    Returns
    -------
    ndarray of float64
        Quantiles of the standard normal distribution, by the standard library.

    Examples
    --------
    >>> normal_scores([0.5, 0.8])
    array([0.        , 0.84162123])
    """
    chance = np.ascontiguousarray(chances, np.float64)
    return _scores(chance.tobytes()).reshape(chance.shape)


def quantile_table(spreads: Sequence[Spread], chances: Floats) -> Floats:
    """Give the quantiles of many spreads at once: the beta ones together, as they cost most.

    Parameters
    ----------
    spreads : sequence of Spread
        Of any kinds.
    chances : ndarray
        Each greater than 0 and less than 1.

    Returns
    -------
    ndarray, shape (len(spreads), len(chances))
        Each row as `Spread.quantiles` gives it [min].

    Examples
    --------
    >>> quantile_table([Fixed(3), Triangular(0, 0, 100)], np.array([0.25, 0.75]))
    array([[ 3.        ,  3.        ],
           [13.39745962, 50.        ]])
    """
    table = np.empty((len(spreads), chances.size))
    betas: list[tuple[int, Pert]] = []
    for row, spread in enumerate(spreads):
        if isinstance(spread, Pert):
            betas.append((row, spread))
        else:
            table[row] = spread.quantiles(chances)
    if betas:
        lows = np.array([spread.low for _, spread in betas])
        widths = np.array([spread.high for _, spread in betas]) - lows
        units = _between_shapes(np.array([spread.mode for _, spread in betas]), chances)
        table[[row for row, _ in betas]] = lows[:, None] + widths[:, None] * units
    return table


def _between_shapes(modes: Floats, chances: Floats) -> Floats:
    """Interpolate unit beta quantiles between ready-made shapes; within 1e-5 of the exact ones."""
    shapes = _ready_shapes(np.ascontiguousarray(chances).tobytes())
    stand = modes * (_SHAPES - 1)
    below = np.minimum(stand.astype(np.intp), _SHAPES - 2)
    part = (stand - below)[:, None]
    units: Floats = (1 - part) * shapes[below] + part * shapes[below + 1]
    return units


@lru_cache(maxsize=4)
def _ready_shapes(chances: bytes) -> Floats:
    wanted = np.frombuffer(chances, np.float64)
    sums = _beta_sums(np.linspace(0.0, 1.0, _SHAPES))
    return np.array([_unit_beta_quantiles(line, wanted) for line in sums])


def _beta_sums(modes: Floats) -> Floats:
    """Give the distribution functions of unit beta shapes at the nodes of the half turn.

    With x = sin² of the angle the density becomes 2 sin^(2 alpha - 1) cos^(2 beta - 1), which is smooth and
    0 at both ends; it is added up by Simpson's rule. Within 1e-5 of the exact values.
    """
    powers = 1 + 8 * modes[:, None]
    with np.errstate(divide="ignore"):
        log_sin, log_cos = np.log(np.sin(_HALF_TURN)), np.log(np.cos(_HALF_TURN))
    density = np.exp(powers * log_sin + (10 - powers) * log_cos)
    cells = density[:, :-2:2] + 4 * density[:, 1::2] + density[:, 2::2]
    sums = np.zeros((modes.size, cells.shape[1] + 1))
    np.cumsum(cells, axis=1, out=sums[:, 1:])
    return sums / sums[:, -1:]


def _unit_beta_quantiles(sums: Floats, chances: Floats) -> Floats:
    sines = np.sin(np.interp(chances, sums, _HALF_TURN[::2]))
    return np.square(sines)


@lru_cache(maxsize=64)
def _scores(chances: bytes) -> Floats:
    scores = np.array([_NORMAL.inv_cdf(chance) for chance in np.frombuffer(chances, np.float64)])
    scores.flags.writeable = False
    return scores


def _refuse_bad(figure: float) -> None:
    if not math.isfinite(figure) or figure < 0:
        raise BadDuration(figure, "not less than 0")


def _refuse_disorder(low: float, likely: float, high: float) -> None:
    figures = (low, likely, high)
    if not all(map(math.isfinite, figures)) or not 0 <= low <= likely <= high:
        raise BadDuration(figures, _ORDER)

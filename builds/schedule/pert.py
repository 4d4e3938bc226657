"""A date as a window: three-point estimates added up along one path.

The mean and variance are those of the original paper [1]_, which approximates a beta
distribution on [low, high] with the given mode. The sum along the path is taken as normal.

This ignores merge bias. Where several paths of nearly the same length meet, the last of them sets the
date, so the true date is later than the mean along any one path and the windows here are too early and
too narrow. They belong to one chain, such as the one behind a supplier's date; the date of a
network needs simulation.

References
----------
.. [1] D.G. Malcolm, J.H. Roseboom, C.E. Clark, W. Fazar (1959) 'Application of a technique for
   research and development program evaluation', Operations Research 7(5), 646-669.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import NormalDist

from builds.schedule.errors import BadDuration, ScheduleError

FOUR_IN_FIVE = 0.8  # chance that the later end of a window is kept


@dataclass(frozen=True, slots=True)
class Estimate:
    """A length of time as three figures in any one unit.

    Parameters
    ----------
    low, likely, high : float
        If all goes well, most likely, if all goes badly: not negative, in this order.

    Raises
    ------
    BadDuration
        If they are not finite, not in order, or negative.

    Examples
    --------
    >>> Estimate(2, 5, 14).mean, Estimate(2, 5, 14).variance
    (6.0, 4.0)
    """

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        figures = (self.low, self.likely, self.high)
        if not all(map(math.isfinite, figures)) or not 0 <= self.low <= self.likely <= self.high:
            raise BadDuration(figures, "low, likely and high in this order and not less than 0")

    @property
    def mean(self) -> float:
        """Mean of the beta approximation, (low + 4 likely + high) / 6."""
        return (self.low + 4 * self.likely + self.high) / 6

    @property
    def variance(self) -> float:
        """Variance of the beta approximation, ((high - low) / 6)², in the unit squared."""
        return ((self.high - self.low) / 6) ** 2


@dataclass(frozen=True, slots=True)
class Window:
    """When something along one path will be done.

    Parameters
    ----------
    even_chance, four_in_five : float
        Lengths that are kept with a chance of one half and of four in five, in the unit of the estimates.
    """

    even_chance: float
    four_in_five: float


@dataclass(frozen=True, slots=True)
class PathSum:
    """The length of one path as a normal distribution; see `along`.

    Parameters
    ----------
    mean : float
        Sum of the means, in the unit of the estimates.
    variance : float
        Sum of the variances, in the unit squared; 0 if every length is certain.
    """

    mean: float
    variance: float


def along(estimates: Iterable[Estimate]) -> PathSum:
    """Add estimates up along one path.

    Parameters
    ----------
    estimates : iterable of Estimate
        One after the other, independent, in one unit.

    Returns
    -------
    PathSum
        Mean and variance of the sum; both 0 for an empty path.

    Examples
    --------
    >>> along([Estimate(2, 5, 14), Estimate(3, 3, 3)])
    PathSum(mean=9.0, variance=4.0)
    """
    listed = tuple(estimates)
    return PathSum(
        math.fsum(estimate.mean for estimate in listed), math.fsum(estimate.variance for estimate in listed)
    )


def chance_within(path: PathSum, length: float) -> float:
    """Give the chance that one path is done within a length of time.

    Parameters
    ----------
    path : PathSum
        From `along`.
    length : float
        In the unit of the estimates.

    Returns
    -------
    float
        From 0 to 1. A path without variance is done by its mean and not before.

    Raises
    ------
    ScheduleError
        If `length` is not a number.

    Examples
    --------
    >>> chance_within(PathSum(mean=44, variance=9), 47)
    0.8413
    """
    if math.isnan(length):
        raise ScheduleError("The length of time asked about is not a number.")
    if path.variance == 0:
        return 1.0 if length >= path.mean else 0.0
    return NormalDist(path.mean, math.sqrt(path.variance)).cdf(length)


def length_at(path: PathSum, chance: float) -> float:
    """Give the length of time within which one path is done with a given chance.

    Parameters
    ----------
    path : PathSum
        From `along`.
    chance : float
        Greater than 0 and less than 1.

    Returns
    -------
    float
        In the unit of the estimates.

    Raises
    ------
    ScheduleError
        If `chance` is not between 0 and 1.

    Examples
    --------
    >>> length_at(PathSum(mean=44, variance=9), 0.8)
    46.5249
    """
    if not 0 < chance < 1:
        raise ScheduleError(f"A chance must be greater than 0 and less than 1, not {chance}.")
    if path.variance == 0:
        return path.mean
    return NormalDist(path.mean, math.sqrt(path.variance)).inv_cdf(chance)


def window(path: PathSum) -> Window:
    """Give the even-chance and the four-in-five length of one path.

    Parameters
    ----------
    path : PathSum
        From `along`.

    Returns
    -------
    Window
        Both in the unit of the estimates.

    Examples
    --------
    >>> window(along([Estimate(10, 10, 10)]))
    Window(even_chance=10.0, four_in_five=10.0)
    """
    return Window(length_at(path, 0.5), length_at(path, FOUR_IN_FIVE))

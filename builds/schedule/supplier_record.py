"""What a supplier's own record says about the next promise.

Each job on record is a ratio: days taken over days promised. The logarithms of the ratios are taken as
normal, with mean and variance unknown, and the estimate in hand (low, likely, high) is the prior: the
conjugate normal and scaled inverse chi-square model [1]_ with as many pseudo-observations for the mean
as for the variance. A short record is so drawn towards the estimate, and a long one speaks for itself.

The length of the next job is then, in logarithms, a Student t. A t has no moments after exponentiation, so
the lognormal is used that agrees with it at the even chance and at four in five, the two dates that are
shown. The estimate enters in the same way: without a record the result is the lognormal with the
mean and standard deviation of the logarithm of the estimate itself.

References
----------
.. [1] A. Gelman, J.B. Carlin, H.S. Stern, D.B. Dunson, A. Vehtari, D.B. Rubin (2013) 'Bayesian Data
   Analysis', 3rd ed., CRC Press, section 3.3 (normal data with a conjugate prior). From memory.
.. [2] M. Abramowitz, I.A. Stegun (1964) 'Handbook of Mathematical Functions', 26.7.5 (Student's t from
   the normal). From memory; checked against scipy in the tests.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist, fmean

import numpy as np

from builds.schedule.errors import BadDuration
from builds.schedule.pert import FOUR_IN_FIVE
from builds.schedule.spread import Lognormal, Pert

ESTIMATE_WORTH = 6.0  # jobs on record that the estimate counts as much as; our own choice
LEAST_LOG_SD = 0.05  # an estimate surer of itself than about 5 % is not believed; our own choice

_CHANCES = (np.arange(2000) + 0.5) / 2000
_SCORE = NormalDist().inv_cdf(FOUR_IN_FIVE)


@dataclass(frozen=True, slots=True)
class PastJob:
    """One job that came back.

    Parameters
    ----------
    promised_days : float
        Lead time first promised, greater than 0 [working days].
    actual_days : float
        Lead time taken, greater than 0 [working days].

    Raises
    ------
    BadDuration
        If either is not finite or not greater than 0.
    """

    promised_days: float
    actual_days: float

    def __post_init__(self) -> None:
        for days in (self.promised_days, self.actual_days):
            if not (math.isfinite(days) and days > 0):
                raise BadDuration(
                    days, "greater than 0 days: count a job back on the day it went as part of one"
                )

    @property
    def ratio(self) -> float:
        """Days taken over days promised."""
        return self.actual_days / self.promised_days


@dataclass(frozen=True, slots=True)
class Expectation:
    """What is to be expected of a supplier's next job.

    Parameters
    ----------
    spread : Lognormal
        Its lead time [min].
    jobs : int
        Jobs on record.
    ratio : float or None
        What they took over what was promised: the geometric mean, or None without a record.
    weight : float
        What the record counts against the estimate, from 0 to 1.
    shared : float
        Correlation between two jobs of this supplier that are still to come, from not knowing the
        supplier: the share to give to `builds.schedule.draws.Together`.
    why : str
        The same in words.
    """

    spread: Lognormal
    jobs: int
    ratio: float | None
    weight: float
    shared: float
    why: str


def expected_lead(
    record: Sequence[PastJob],
    estimate: Pert,
    promise_min: float | None = None,
    estimate_worth: float = ESTIMATE_WORTH,
) -> Expectation:
    """Give the lead time to be expected from a promise, the estimate and the record.

    Parameters
    ----------
    record : sequence of PastJob
        The supplier's jobs so far, in any order; it may be empty.
    estimate : Pert
        Lead time as low, likely, high, with a likely one greater than 0 [min].
    promise_min : float, optional
        What the supplier promises this time; without a promise the likely lead time stands for it. The
        estimate's own low and high are then taken in proportion to it [min].
    estimate_worth : float, optional
        Jobs on record that the estimate counts as much as, greater than 0.

    Returns
    -------
    Expectation
        Spread, weights and the reason in words.

    Raises
    ------
    BadDuration
        If the promise, the likely lead time or `estimate_worth` is not greater than 0.

    Notes
    -----
    With k pseudo-observations and n ratios whose logarithms have mean y and sum of squares S about it, mean
    and variance become (k m + n y) / (k + n) and (k v + S + k n (y - m)² / (k + n)) / (k + n), with k + n
    degrees of freedom; the next logarithm is a t with that variance times 1 + 1/(k + n).

    Examples
    --------
    >>> week = Pert(4 * 1440, 5 * 1440, 8 * 1440)
    >>> late = [PastJob(5, 6.5)] * 6
    >>> found = expected_lead(late, week)
    >>> print(found.why)
    6 deliveries, on average 1.3 times the promise; half-way between that and the estimate.
    >>> round(found.spread.median / 1440, 1), found.weight
    (5.9, 0.5)
    """
    promise = estimate.likely if promise_min is None else promise_min
    for figure in (promise, estimate.likely, estimate_worth):
        if not (math.isfinite(figure) and figure > 0):
            raise BadDuration(figure, "greater than 0")
    prior_mean, prior_sd = _log_moments(estimate)
    logs = [math.log(job.ratio) for job in record]
    count = len(logs)
    worth = estimate_worth + count
    mean = (estimate_worth * prior_mean + math.fsum(logs)) / worth
    prior_variance = (prior_sd / _widening(estimate_worth)) ** 2
    average = fmean(logs) if logs else prior_mean
    squares = math.fsum((one - average) ** 2 for one in logs)
    apart = estimate_worth * count / worth * (average - prior_mean) ** 2
    variance = (estimate_worth * prior_variance + squares + apart) / worth
    ratio = math.exp(average) if logs else None
    weight = count / worth
    return Expectation(
        spread=Lognormal(promise * math.exp(mean), math.sqrt(variance) * _widening(worth)),
        jobs=count,
        ratio=ratio,
        weight=weight,
        shared=1 / (worth + 1),
        why=_why(count, ratio, weight),
    )


@lru_cache(maxsize=4096)
def _log_moments(estimate: Pert) -> tuple[float, float]:
    """Give mean and standard deviation of the logarithm of the estimate over its likely length."""
    logs = np.log(np.maximum(estimate.quantiles(_CHANCES) / estimate.likely, 1e-6))
    return float(logs.mean()), max(float(logs.std()), LEAST_LOG_SD)


def _widening(freedom: float) -> float:
    """Give the sd of the lognormal, over the sd so far, that agrees with the next t at four in five."""
    z = _SCORE
    t = (
        z
        + (z**3 + z) / (4 * freedom)
        + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * freedom**2)
        + (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * freedom**3)
    )
    return t / z * math.sqrt(1 + 1 / freedom)


def _why(count: int, ratio: float | None, weight: float) -> str:
    if ratio is None:
        return "No delivery on record yet: the estimate as it is."
    jobs = "1 delivery" if count == 1 else f"{count} deliveries, on average"
    times = f"{jobs} {ratio:.1f} times the promise" if count > 1 else f"{jobs}, {ratio:.1f} times the promise"
    if weight < 0.4:
        return f"{times}; nearer to the estimate than to that, as the record is short."
    if weight <= 0.6:
        return f"{times}; half-way between that and the estimate."
    if weight < 0.9:
        return f"{times}; nearer to that than to the estimate."
    return f"{times}; the estimate hardly counts any more."

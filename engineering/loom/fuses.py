"""Standard fuses, and what a fuse may carry before it blows."""

from dataclasses import dataclass

LONG_CARRIED = 1.1
"""A blade fuse may carry 1.1 times its rating for 100 h: ISO 8820-3, from memory."""

SHORT_CARRIED = 1.35
"""It may carry 1.35 times its rating for 10 minutes (30 for the large blade): ISO 8820-3, makers' sheets."""

SURE_TO_BLOW = 2.0
"""At twice its rating it blows within 5 s (50 s for the large blade): ISO 8820-3, makers' sheets."""


@dataclass(frozen=True)
class Fuse:
    """A standard fuse.

    Parameters
    ----------
    rating_a : float
        Rated current [A].
    family : str
        Kind of body.
    """

    rating_a: float
    family: str

    def __str__(self) -> str:
        return f"{self.rating_a:g} A {self.family}"


def _family(family: str, *ratings_a: float) -> tuple[Fuse, ...]:
    return tuple(Fuse(rating_a, family) for rating_a in ratings_a)


FUSES: tuple[Fuse, ...] = (
    *_family("blade", 1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40),
    *_family("large blade", 50, 60, 70, 80),
    *_family("bolt-in", 100, 125, 150, 200),
)
"""Smallest first: ISO 8820-3 types C and E, and ISO 8820-5, ratings from memory."""

FUSE_SOURCE = (
    "Ratings and times of ISO 8820-3 (blade, large blade) and ISO 8820-5 (bolt-in), from memory and from "
    "makers' sheets; check the maker's own curve"
)


def smallest_fuse_for(least_a: float) -> Fuse | None:
    """The smallest standard fuse that is not below a current.

    Parameters
    ----------
    least_a : float
        Least rating [A].

    Returns
    -------
    Fuse or None
        None where even the largest is too small.

    Examples
    --------
    >>> str(smallest_fuse_for(10.7))
    '15 A blade'
    >>> smallest_fuse_for(300) is None
    True
    """
    return next((fuse for fuse in FUSES if fuse.rating_a >= least_a), None)

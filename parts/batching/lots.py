"""Lots: candidates of one finish, each kept out that the finisher's bath or oven would spoil."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from parts.batching.errors import TwiceListed


class Verdict(StrEnum):
    """Whether a material takes a finish."""

    OK = "ok"
    CARE = "care"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Candidate:
    """One operation that could go into a finishing batch.

    Parameters
    ----------
    operation_id : int
        The line of the route card.
    part, car : str
        Names for people.
    car_id : int
        The car, to tell cars of like name apart.
    process, colour, coating_class : str
        The finish. Capitals and spaces make no difference.
    material : str
        Name of the material; empty if nobody gave it.
    verdict : Verdict
        Whether that material takes that process.
    reason, source : str
        Why, and who says so.
    quantity : int
        Pieces of this part.
    mass_kg : float or None
        Mass of one piece [kg].
    is_ready : bool
        It could leave now: all before it is done and recorded.
    ready_on : date or None
        Day from which it can leave by today's network; None if nobody knows.
    back_limit : date or None
        Last day on which it can leave without moving its milestone; None if nothing waits for it.
    sets_date : bool
        It stands on the chain that sets first start-up.
    days_late : int
        Calendar days by which the work before it is past its promise [d].
    """

    operation_id: int
    part: str
    car: str
    car_id: int
    process: str
    colour: str = ""
    coating_class: str = ""
    material: str = ""
    verdict: Verdict = Verdict.OK
    reason: str = ""
    source: str = ""
    quantity: int = 1
    mass_kg: float | None = None
    is_ready: bool = False
    ready_on: date | None = None
    back_limit: date | None = None
    sets_date: bool = False
    days_late: int = 0

    @property
    def finish(self) -> tuple[str, str, str]:
        """What it must share with the others of its batch."""
        return finish_key(self.process, self.colour, self.coating_class)


@dataclass(frozen=True, slots=True)
class Lot:
    """Candidates that may share a batch, and those of the same finish that must not.

    Parameters
    ----------
    process, colour, coating_class : str
        The finish, as most of the candidates spell it.
    members : tuple of Candidate
        What may go together, first of all what holds first start-up.
    set_aside : tuple of Candidate
        What asks for the same finish in a material that does not take it; each has its reason.
    """

    process: str
    colour: str
    coating_class: str
    members: tuple[Candidate, ...]
    set_aside: tuple[Candidate, ...] = ()

    @property
    def cars_held(self) -> tuple[str, ...]:
        """Names of the cars whose first start-up a member holds, in alphabetical order."""
        return tuple(
            sorted({member.car_id: member.car for member in self.members if member.sets_date}.values())
        )

    @property
    def all_ready_on(self) -> date | None:
        """Day on which the last member can leave; None if that is not known of one of them."""
        days = [member.ready_on for member in self.members]
        known = [day for day in days if day is not None]
        return max(known) if known and len(known) == len(days) else None


def finish_key(process: str, colour: str, coating_class: str) -> tuple[str, str, str]:
    """Give what two finishes are compared by.

    Parameters
    ----------
    process, colour, coating_class : str
        The finish as somebody typed it.

    Returns
    -------
    tuple of str
        The same in one case with single spaces.

    Examples
    --------
    >>> finish_key("Zinc plate", " Clear  passivate", "FE/ZN 8")
    ('zinc plate', 'clear passivate', 'fe/zn 8')
    """
    return _plain(process), _plain(colour), _plain(coating_class)


def lots(candidates: Iterable[Candidate]) -> tuple[Lot, ...]:
    """Group candidates by what may share a batch.

    One process, one colour and one coating class make a lot, because they are one bath, one colour of
    powder, one thickness. A material that is not suited is set aside within its lot.

    Parameters
    ----------
    candidates : iterable of Candidate
        In any order; the answer does not depend on it.

    Returns
    -------
    tuple of Lot
        First the lots that hold first start-up, then by the earliest day on which a member must leave.
        Each candidate stands in exactly one lot, either as a member or set aside.

    Raises
    ------
    TwiceListed
        If an operation is among the candidates more than once.

    Notes
    -----
    Whether shapes, sizes and masses hang well on one jig is for the finisher to say: it is not judged here.

    Examples
    --------
    >>> clip = Candidate(1, "clip", "Tern", 1, "Zinc plate", colour="Clear")
    >>> clamp = Candidate(2, "clamp", "Tern", 1, "Zinc plate", colour=" clear")
    >>> [len(lot.members) for lot in lots([clip, clamp])]
    [2]
    """
    listed = list(candidates)
    twice = [number for number, times in Counter(c.operation_id for c in listed).items() if times > 1]
    if twice:
        raise TwiceListed(sorted(twice))
    groups: dict[tuple[str, str, str], list[Candidate]] = {}
    for candidate in listed:
        groups.setdefault(candidate.finish, []).append(candidate)
    return tuple(sorted(map(_lot, groups.values()), key=_lot_urgency))


def ready_by(lot: Lot, day: date) -> tuple[Candidate, ...]:
    """Give the members that can leave by the end of a day.

    Parameters
    ----------
    lot : Lot
        The lot.
    day : date
        The day on which it would leave.

    Returns
    -------
    tuple of Candidate
        Members that are ready, or expected to be by then. One of which nobody knows is not among them.

    Examples
    --------
    >>> clip = Candidate(1, "clip", "Tern", 1, "Zinc plate", ready_on=date(2027, 3, 3))
    >>> lot, = lots([clip])
    >>> len(ready_by(lot, date(2027, 3, 2))), len(ready_by(lot, date(2027, 3, 3)))
    (0, 1)
    """
    return tuple(m for m in lot.members if m.is_ready or (m.ready_on is not None and m.ready_on <= day))


@dataclass(frozen=True, slots=True)
class Tally:
    """Count and mass of several candidates.

    Parameters
    ----------
    pieces : int
        Pieces in all.
    mass_kg : float
        Mass of all pieces whose mass is known [kg].
    pieces_unweighed : int
        Pieces whose mass nobody gave.
    """

    pieces: int
    mass_kg: float
    pieces_unweighed: int


def tally(members: Iterable[Candidate]) -> Tally:
    """Add up pieces and mass.

    Parameters
    ----------
    members : iterable of Candidate
        What is to be counted.

    Returns
    -------
    Tally
        All zero for no members.

    Examples
    --------
    >>> tally([Candidate(1, "clip", "Tern", 1, "Zinc plate", quantity=4, mass_kg=0.25)])
    Tally(pieces=4, mass_kg=1.0, pieces_unweighed=0)
    """
    counted = list(members)
    return Tally(
        pieces=sum(member.quantity for member in counted),
        mass_kg=sum(member.quantity * member.mass_kg for member in counted if member.mass_kg is not None),
        pieces_unweighed=sum(member.quantity for member in counted if member.mass_kg is None),
    )


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def _lot(group: Sequence[Candidate]) -> Lot:
    urgent_first = sorted(group, key=_urgency)
    return Lot(
        process=_usual(candidate.process for candidate in group),
        colour=_usual(candidate.colour for candidate in group),
        coating_class=_usual(candidate.coating_class for candidate in group),
        members=tuple(c for c in urgent_first if c.verdict is not Verdict.NO),
        set_aside=tuple(c for c in urgent_first if c.verdict is Verdict.NO),
    )


def _usual(spellings: Iterable[str]) -> str:
    """The commonest spelling; of equally common ones the first by alphabet."""
    times = Counter(" ".join(spelling.split()) for spelling in spellings)
    return min(times, key=lambda spelling: (-times[spelling], spelling))


def _urgency(candidate: Candidate) -> tuple[bool, date, str, str, int]:
    return (
        not candidate.sets_date,
        candidate.back_limit or date.max,
        candidate.car,
        candidate.part,
        candidate.operation_id,
    )


def _lot_urgency(lot: Lot) -> tuple[bool, bool, date, str, str, str]:
    limits = [member.back_limit for member in lot.members if member.back_limit is not None]
    return (
        not lot.members,
        not lot.cars_held,
        min(limits, default=date.max),
        *finish_key(lot.process, lot.colour, lot.coating_class),
    )

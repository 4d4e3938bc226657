"""A route card as the rules see it, and what they have to say about it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class Weight(StrEnum):
    """How hard a rule is: 'must' blocks unless somebody answers for it, 'should' warns."""

    MUST = "must"
    SHOULD = "should"


@dataclass(frozen=True, slots=True)
class CardLine:
    """One line of a route card.

    Parameters
    ----------
    id : int
        What the caller knows it by; 0 for a line that is not saved yet.
    process, name : str
        Key and name of the process.
    text : str
        Colour, class and the rest, as the supplier reads it.
    is_gone : bool
        It has gone out, or is back: it cannot be moved any more.
    number : int
        What people call it by; 0: its place on the card.
    """

    id: int
    process: str
    name: str
    text: str = ""
    is_gone: bool = False
    number: int = 0


@dataclass(frozen=True, slots=True)
class Card:
    """A part's route card, first line first, without lines that were rejected and made good.

    Parameters
    ----------
    lines : tuple of CardLine
        In the order in which they are done.
    material, material_name : str
        Key and name of the material; empty if nobody gave it.
    features : frozenset of str
        What else a finisher must know, as keys of `Feature`.
    """

    lines: tuple[CardLine, ...] = ()
    material: str = ""
    material_name: str = ""
    features: frozenset[str] = frozenset()

    def label(self, line: CardLine) -> str:
        """Name a line as people do.

        Parameters
        ----------
        line : CardLine
            A line of this card.

        Returns
        -------
        str
            For example 'line 2, weld'.
        """
        number = line.number or self.lines.index(line) + 1
        return f"line {number}, {line.name[:1].lower()}{line.name[1:]}"

    def after(self, line: CardLine) -> tuple[CardLine, ...]:
        """Give the lines below one.

        Parameters
        ----------
        line : CardLine
            A line of this card.

        Returns
        -------
        tuple of CardLine
            In order; empty for the last one.
        """
        return self.lines[self.lines.index(line) + 1 :]


class Feature(StrEnum):
    """Properties of a part that a finish may spoil, or be spoilt by."""

    SEALED = "sealed"
    VENTED = "vented"
    HIGH_STRENGTH = "high strength"
    STEEL_INSERT = "steel insert"
    BONDED = "bonded"
    LAPPED = "lapped"


@dataclass(frozen=True, slots=True)
class OrderRule:
    """One process comes before another, where a part has both.

    Parameters
    ----------
    before, after : str
        Keys of the two processes.
    weight : Weight
        Whether it must or should.
    reason, source : str
        Why, and who says so.
    """

    before: str
    after: str
    weight: Weight
    reason: str
    source: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a finish does to a material or a feature: 'ok', 'care' or 'no'.

    Parameters
    ----------
    verdict : str
        One of the three.
    reason, source : str
        Why, and who says so.
    """

    verdict: str
    reason: str
    source: str


@dataclass(frozen=True)
class Rulebook:
    """All that is known.

    Parameters
    ----------
    order : tuple of OrderRule
        Which process comes first.
    materials, features : mapping
        Verdicts by process key and material key, and by process key and feature.
    """

    order: tuple[OrderRule, ...] = ()
    materials: Mapping[tuple[str, str], Verdict] = field(default_factory=dict)
    features: Mapping[tuple[str, str], Verdict] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Finding:
    """What a rule has against a card.

    Parameters
    ----------
    key : str
        Names the rule and what it looked at: if one of them changes, so does the key.
    weight : Weight
        Whether it blocks or warns.
    on : int
        Id of the line at which the harm is done.
    lines : tuple of int
        Ids of all lines that it is about.
    title, why, source, way_out : str
        What is wrong in one phrase, the reason, who says so, and what to do.
    """

    key: str
    weight: Weight
    on: int
    lines: tuple[int, ...]
    title: str
    why: str
    source: str
    way_out: str

    @property
    def is_must(self) -> bool:
        """Whether it blocks."""
        return self.weight is Weight.MUST

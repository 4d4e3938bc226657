"""Everything that the rules of the trade have against a route card."""

from itertools import chain

from parts.trade.cards import Card, Finding, Rulebook, Weight
from parts.trade.order import order_findings
from parts.trade.spoils import (
    apart_findings,
    bake_findings,
    feature_findings,
    heat_findings,
    material_findings,
    retap_findings,
)


def findings(card: Card, book: Rulebook) -> tuple[Finding, ...]:
    """Check a route card against every rule.

    Parameters
    ----------
    card : Card
        The route card.
    book : Rulebook
        What is known.

    Returns
    -------
    tuple of Finding
        What blocks first, then in the order of the lines. What only concerns lines that have gone out
        already is history and left out.

    Examples
    --------
    >>> from parts.trade.cards import CardLine
    >>> tube = Card((CardLine(7, "zinc_plate", "Zinc plate"),), material="fastener_12_9")
    >>> [finding.key for finding in findings(tube, Rulebook())]
    ['bake:zinc_plate+fastener_12_9']
    """
    places = {line.id: place for place, line in enumerate(card.lines)}
    found = chain(
        order_findings(card, book.order),
        apart_findings(card),
        material_findings(card, book),
        feature_findings(card, book),
        heat_findings(card, book),
        bake_findings(card),
        retap_findings(card),
    )
    return tuple(sorted(found, key=lambda one: (one.weight is not Weight.MUST, places[one.on])))

"""Which line of a route card comes before which."""

from collections.abc import Iterable, Iterator, Sequence

from parts.trade.cards import Card, CardLine, Finding, OrderRule


def order_findings(card: Card, rules: Iterable[OrderRule]) -> Iterator[Finding]:
    """Find each pair of lines that stands the wrong way round.

    A rule speaks only between lines that the card has; nothing is concluded by way of a line that it lacks.

    Parameters
    ----------
    card : Card
        The route card.
    rules : iterable of OrderRule
        Which process comes first.

    Returns
    -------
    iterator of Finding
        One for each rule and line that comes too late, in the order of the rules.

    Examples
    --------
    >>> from parts.trade.cards import Weight
    >>> card = Card((CardLine(1, "zinc", "Zinc plate"), CardLine(2, "weld", "Weld")))
    >>> rule = OrderRule("weld", "zinc", Weight.MUST, "Zinc fume", "ISO 2081")
    >>> [finding.title for finding in order_findings(card, [rule])]
    ['Weld must come before zinc plate']
    """
    places: dict[str, list[int]] = {}
    for place, line in enumerate(card.lines):
        places.setdefault(line.process, []).append(place)
    for rule in rules:
        for late in places.get(rule.before, ()):
            early = [place for place in places.get(rule.after, ()) if place < late]
            lines = [card.lines[place] for place in (*early, late)]
            if early and not all(line.is_gone for line in lines):
                yield _finding(card, rule, lines)


def sorted_lines(lines: Sequence[CardLine], rules: Iterable[OrderRule]) -> tuple[CardLine, ...]:
    """Put lines into an order that keeps every rule, and otherwise leaves them as they stand.

    Parameters
    ----------
    lines : sequence of CardLine
        In the order in which they stand now.
    rules : iterable of OrderRule
        Which process comes first.

    Returns
    -------
    tuple of CardLine
        The same lines. Where rules go round in a ring no order keeps them all; the lines of the ring then
        stay as they stand.

    Examples
    --------
    >>> from parts.trade.cards import Weight
    >>> card = (CardLine(1, "zinc", "Zinc plate"), CardLine(2, "weld", "Weld"))
    >>> [line.id for line in sorted_lines(card, [OrderRule("weld", "zinc", Weight.MUST, "", "")])]
    [2, 1]
    """
    afters: dict[str, set[str]] = {}
    for rule in rules:
        afters.setdefault(rule.after, set()).add(rule.before)
    waiting, done = list(lines), []
    while waiting:
        left = {line.process for line in waiting}
        free = (line for line in waiting if not (afters.get(line.process, set()) - {line.process}) & left)
        chosen = next(free, waiting[0])
        waiting.remove(chosen)
        done.append(chosen)
    return tuple(done)


def ring_of(rules: Iterable[OrderRule]) -> tuple[str, ...]:
    """Find processes that would each have to come before the next, round in a ring.

    Parameters
    ----------
    rules : iterable of OrderRule
        Which process comes first.

    Returns
    -------
    tuple of str
        Keys of the processes of one ring, each before the next; empty if there is none.

    Examples
    --------
    >>> from parts.trade.cards import Weight
    >>> ring_of([OrderRule("a", "b", Weight.MUST, "", ""), OrderRule("b", "a", Weight.SHOULD, "", "")])
    ('a', 'b')
    """
    nexts: dict[str, list[str]] = {}
    for rule in rules:
        nexts.setdefault(rule.before, []).append(rule.after)
    finished: set[str] = set()
    for start in nexts:
        way: list[str] = []
        turns: list[Iterator[str]] = []
        step: str | None = start
        while step is not None:
            if step in way:
                return tuple(way[way.index(step) :])
            if step not in finished:
                way.append(step)
                turns.append(iter(nexts.get(step, ())))
            step = None
            while turns and step is None:
                step = next(turns[-1], None)
                if step is None:
                    finished.add(way.pop())
                    turns.pop()
    return ()


def _finding(card: Card, rule: OrderRule, lines: Sequence[CardLine]) -> Finding:
    *early, late = lines
    return Finding(
        key=f"order:{rule.before}>{rule.after}",
        weight=rule.weight,
        on=late.id,
        lines=tuple(line.id for line in lines),
        title=f"{late.name} {rule.weight} come before {_small(early[0].name)}",
        why=rule.reason,
        source=rule.source,
        way_out=_way_out(card, early[0], late),
    )


def _way_out(card: Card, early: CardLine, late: CardLine) -> str:
    if early.is_gone:
        return (
            f"{_capital(card.label(early))}, has gone out already. Leave out {card.label(late)}, "
            f"or add {_small(early.name)} once more after it."
        )
    return f"Let {card.label(early)}, come after {card.label(late)}."


def _small(name: str) -> str:
    return name[:1].lower() + name[1:]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

"""What the Finishing page shows of a batch calculation: the answers side by side, and why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.html import format_html_join

from builds.batching.working import Working
from parts.batching.answers import Answer, PlannedLot
from parts.batching.choosing import bend
from parts.batching.reasons import pounds

SHOWN = 3
NAMED = 3  # parts that are named before they are counted by car


@dataclass(frozen=True)
class LotLine:
    """What leaves together, in words."""

    leaves_on: date
    back_on: date
    is_today: bool
    words: str
    charge: str


@dataclass(frozen=True)
class Column:
    """One answer."""

    number: int  # in `Working.answers`, which the form sends back
    title: str
    is_chosen: bool
    is_bettered: bool  # another costs no more and loses no more days
    cost: str
    days: int
    payers: tuple[str, ...]
    lots: tuple[LotLine, ...]
    against: str  # compared with the chosen one
    proof: str


@dataclass(frozen=True)
class Mark:
    """One answer on the diagram of cost against days."""

    x: float
    y: float
    is_chosen: bool
    words: str

    @property
    def left(self) -> float:
        return self.x - MARK / 2

    @property
    def top(self) -> float:
        return self.y - MARK / 2

    @property
    def text_x(self) -> float:
        return self.x + MARK

    @property
    def text_y(self) -> float:
        return self.y - 4


@dataclass(frozen=True)
class Diagram:
    """The frontier, drawn over a steel rule of days."""

    marks: tuple[Mark, ...]
    steps: str  # path
    ticks: tuple[tuple[float, bool, str], ...]  # x, whether a long one, its figure
    words: str


@dataclass(frozen=True)
class AnswersSheet:
    """All that a lot's calculation shows."""

    working: Working
    lot_id: int  # a line of the lot, by which its address names it
    columns: tuple[Column, ...]
    count: int  # of all answers
    why: str
    chosen_title: str
    diagram: Diagram | None
    proofs: bool  # on the lot's own page, where everything is said

    @property
    def seen(self) -> str:
        return self.working.seen

    @property
    def says_itself(self) -> bool:
        """The reason begins with the title already."""
        return self.chosen_title.split()[0] == self.why.split()[0]

    @property
    def what(self) -> str:
        """Its parts, in words."""
        return parts_words(self.working, [piece.piece_id for piece in self.working.pieces])

    @property
    def more(self) -> int:
        """Answers that are not among the columns."""
        return self.count - len(self.columns)

    @property
    def choice_fields(self) -> str:
        """What else has to be sent along with a choice, for the same calculation to be made again."""
        worth, finisher = self.working.day_pence, self.working.supplier.pk
        asked = [("finisher", finisher)] + ([] if worth is None else [("worth", pounds_plain(worth))])
        return format_html_join("", '<input type="hidden" name="{}" value="{}">', asked)

    @property
    def is_one_way(self) -> bool:
        """There is nothing to choose."""
        return len(self.columns) == 1


def read_answers(working: Working, *, all_of_them: bool = False) -> AnswersSheet:
    """Put a calculation into columns; three of them unless all are asked for."""
    every = working.answers
    shown = list(every) if all_of_them else _typical(working)
    shown.sort(key=lambda answer: (answer.days_lost, -answer.cost_pence, len(answer.lots)))
    return AnswersSheet(
        working=working,
        lot_id=min(working.lines),
        columns=tuple(column(working, answer, every.index(answer)) for answer in shown),
        count=len(every),
        why=working.why,
        chosen_title=title(working, working.chosen),
        proofs=all_of_them,
        diagram=_diagram(working),
    )


def column(working: Working, answer: Answer, number: int) -> Column:
    chosen = working.chosen
    return Column(
        number=number,
        title=title(working, answer),
        is_chosen=answer == chosen,
        is_bettered=_is_bettered(working, answer),
        cost=cost_words(working, answer),
        days=answer.days_lost,
        payers=tuple(payers(answer)),
        lots=tuple(lot_line(working, lot) for lot in answer.lots),
        against="" if answer == chosen else difference(working, answer, chosen),
        proof=_proof(working, answer),
    )


def title(working: Working, answer: Answer) -> str:
    """'One lot, wait for all', 'Each when ready', or how many lots."""
    count = len(answer.lots)
    waits = len({piece.ready_day for piece in working.pieces}) > 1
    if answer.lots == working.found.together.lots and count == 1:
        return "One lot, wait for all" if waits else "One lot"
    if answer.lots == working.found.apart.lots:
        return "Each when ready"
    return f"{count} lots" if count > 1 else "One lot"


def cost_words(working: Working, answer: Answer) -> str:
    """The cost, as far as it is known; lots where no charge is."""
    if not working.prices.is_priced:
        return f"{len(answer.lots)} lot{'s' * (len(answer.lots) > 1)}, not priced"
    return f"{'at least ' if working.is_at_least else ''}{pounds(answer.cost_pence)}"


def pounds_plain(pence: int) -> str:
    """As a form sends it."""
    return f"{pence // 100}.{pence % 100:02}"


def days_words(days: int) -> str:
    return f"{days} day{'s' * (days != 1)}"


def payers(answer: Answer) -> list[str]:
    """'Tern 2 days', those who lose any; what nobody can save is told apart."""
    found = []
    for car in answer.cars:
        if car.days:
            beside = f", {car.unavoidable_days} of them in any case" if car.unavoidable_days else ""
            found.append(f"{car.car} {days_words(car.days)}{beside}")
    return found


def lot_line(working: Working, lot: PlannedLot) -> LotLine:
    return LotLine(
        leaves_on=working.leaves_on(lot),
        back_on=working.back_on(lot),
        is_today=working.leaves_on(lot) == working.today,
        words=parts_words(working, lot.piece_ids),
        charge=pounds(lot.charge_pence) if working.prices.is_priced else "",
    )


def parts_words(working: Working, piece_ids: Sequence[int]) -> str:
    """Names of a few parts; of many their number by car."""
    lines = [working.lines[number] for number in piece_ids]
    if len(lines) <= NAMED:
        return ", ".join(f"{line.candidate.part} of {line.candidate.car}" for line in lines)
    cars = Counter(line.candidate.car for line in lines)
    by_car = ", ".join(f"{car} {count}" for car, count in sorted(cars.items()))
    return f"{len(lines)} parts ({by_car})"


def difference(working: Working, answer: Answer, other: Answer) -> str:
    """'£95 more, 21 days fewer', against another answer."""
    pence, days = answer.cost_pence - other.cost_pence, answer.days_lost - other.days_lost
    lots = len(answer.lots) - len(other.lots)
    if working.prices.is_priced:
        money = f"{pounds(abs(pence))} {'more' if pence > 0 else 'less'}" if pence else "costs the same"
    else:
        money = f"{abs(lots)} lot{'s' * (abs(lots) != 1)} {'more' if lots > 0 else 'fewer'}" if lots else ""
    time = f"{days_words(abs(days))} {'more' if days > 0 else 'fewer'}" if days else "no day more or fewer"
    return ", ".join(words for words in (money, time) if words)


def _typical(working: Working) -> list[Answer]:
    """The quickest, the cheapest and the bend between; where there are not three, the two plain ends too."""
    found = working.found
    wanted = [working.chosen, found.answers[0], found.answers[-1], bend(found)]
    wanted += list(found.answers[1:2])
    wanted += [answer for answer in working.answers if answer.lots in (found.apart.lots, found.together.lots)]
    shown: list[Answer] = []
    for answer in wanted:
        if answer is not None and answer not in shown and len(shown) < SHOWN:
            shown.append(answer)
    return shown


def _is_bettered(working: Working, answer: Answer) -> bool:
    return any(
        other.cost_pence <= answer.cost_pence and other.days_lost <= answer.days_lost and other != answer
        for other in working.found.answers
    )


def _proof(working: Working, answer: Answer) -> str:
    if _is_bettered(working, answer):
        return "Another costs no more and loses no more days."
    if answer.is_proven:
        return "Nothing costs less at so few days: proven."
    gap = answer.cost_pence - answer.bound_pence
    words = pounds(gap) if working.prices.is_priced else days_words(gap)
    return f"Nothing can cost more than {words} less at so few days."


# The diagram: days along a steel rule, cost above it

MARK = 13
WIDTH, LEFT, RIGHT, TOP, FLOOR = 640, 70, 110, 22, 120
MOST_TICKS = 45


def _diagram(working: Working) -> Diagram | None:
    """None where there is but one answer, or nothing is priced."""
    answers = working.found.answers
    if len(answers) < 2 or not working.prices.is_priced:
        return None
    first, last = answers[0].days_lost, answers[-1].days_lost
    dear, cheap = answers[0].cost_pence, answers[-1].cost_pence
    per_day = (WIDTH - LEFT - RIGHT) / (last - first)

    def x(days: int) -> float:
        return round(LEFT + (days - first) * per_day, 1)

    def y(pence: int) -> float:
        return round(TOP + (dear - pence) / (dear - cheap) * (FLOOR - TOP - 22), 1)

    marks = tuple(
        Mark(
            x(answer.days_lost),
            y(answer.cost_pence),
            answer == working.chosen,
            pounds(answer.cost_pence) if _is_named(number, len(answers)) else "",
        )
        for number, answer in enumerate(answers)
    )
    steps = f"M{marks[0].x} {marks[0].y}" + "".join(f" H{mark.x} V{mark.y}" for mark in marks[1:])
    listed = "; ".join(f"{pounds(a.cost_pence)} with {days_words(a.days_lost)} lost" for a in answers)
    return Diagram(marks, steps, tuple(_ticks(first, last, x)), f"Cost against days lost: {listed}.")


def _is_named(number: int, count: int) -> bool:
    """Few answers all carry their figure, of many only the ends."""
    return count <= 4 or number in (0, count - 1)


def _ticks(first: int, last: int, x: object) -> list[tuple[float, bool, str]]:
    assert callable(x)
    step = 1 + (last - first) // MOST_TICKS
    long = 5 if last - first > 8 else 1
    return [
        (x(day), day % (long * step) == 0, str(day) if day % (long * step) == 0 else "")
        for day in range(first, last + 1)
        if day % step == 0 or day in (first, last)
    ]

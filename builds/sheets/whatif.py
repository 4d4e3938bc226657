"""What if: up to three questions beside the dates as they are, car by car. Nothing here is saved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from urllib.parse import urlencode

from django.urls import reverse

from builds.models import Skill
from builds.network import WorkshopState, load_workshop
from builds.network.changes import (
    BatchLeaves,
    Change,
    DueIn,
    Express,
    ExtraPerson,
    Overtime,
    PromiseMoved,
    PulledOut,
    read_changes,
)
from builds.network.levelled import hands
from builds.network.whatif import CarThen, Imagined, as_it_is, carriage_days, hours_words, imagine
from builds.network.words import day_words, page

LETTERS = "abc"
RULE_WIDTH, ROW = 780, 19  # the labels stand to the right of it, within 900

Asked = Mapping[str, Sequence[str]]  # the lines of each question by its letter


@dataclass(frozen=True)
class Line:
    text: str
    without: str  # the address without it


@dataclass(frozen=True)
class Question:
    letter: str
    lines: tuple[Line, ...]
    kept_lines: tuple[str, ...]  # what Keep sends
    asks_reason: bool  # a promise is moved
    without: str  # the address without the question
    refusal: str  # why the people could not be counted
    problems: tuple[str, ...]  # what must stand beside its dates and not beside those as they are
    at_work: tuple[str, ...]  # what each extra person would do


@dataclass(frozen=True)
class Cell:
    """One car under one question."""

    letter: str  # empty for the dates as they are
    then: CarThen
    days_sooner: int  # working days, of the even chance; negative is later

    @property
    def in_hand(self) -> int:
        return max(0, -(self.then.slip_days or 0))

    @property
    def days_later(self) -> int:
        return max(0, -self.days_sooner)


@dataclass(frozen=True)
class Measure:
    """From today to an even chance, as a dimension on a drawing."""

    x: float
    y: int
    label: str
    is_now: bool


@dataclass(frozen=True)
class CarRule:
    """Weeks from today, the promise, and the even chance under each question."""

    width: int
    height: int
    top: int
    weeks: tuple[float, ...]
    promise: float | None
    measures: tuple[Measure, ...]
    words: str


@dataclass(frozen=True)
class CarRow:
    name: str
    url: str
    milestone: str
    cells: tuple[Cell, ...]
    rule: CarRule | None


@dataclass(frozen=True)
class WhatIf:
    state: WorkshopState
    questions: tuple[Question, ...]
    cars: tuple[CarRow, ...]
    unread: tuple[str, ...]  # lines of the address that say nothing
    refusal: str
    problems: tuple[str, ...]
    asked: dict[str, tuple[str, ...]]


def read_what_if(asked: Asked, today: date) -> WhatIf:
    """Work out each question. Queries: those of the workshop and its plan, skills, five for a question."""
    state = load_workshop(today)
    skills = dict(Skill.objects.values_list("pk", "name"))
    people = {person.pk: person.name for person in hands().values()}
    now = as_it_is(state.solution, state.ordered, state.ordered_forecaster)
    questions, unread, answers = [], [], []
    lines_of = {letter: tuple(asked.get(letter, ())) for letter in LETTERS}
    for letter in LETTERS:
        changes, wrong = read_changes(lines_of[letter])
        worded = [(change, change_words(state, change, skills, people)) for change in changes]
        unread += [*wrong, *(change.line for change, words in worded if not words)]
        known = [(change, words) for change, words in worded if words]
        if known:
            answer = imagine(state.solution, state.ordered, [change for change, _ in known], skills)
            answers.append((letter, answer))
            questions.append(_question(letter, known, lines_of, answer, now))
    return WhatIf(
        state=state,
        questions=tuple(questions),
        cars=tuple(_cars(state, now, answers)),
        unread=tuple(unread),
        refusal=now.refusal,
        problems=now.problems,
        asked=lines_of,
    )


def address(asked: Asked) -> str:
    """The page with these questions."""
    query = urlencode([(letter, line) for letter in LETTERS for line in asked.get(letter, ())])
    return reverse("what-if") + (f"?{query}" if query else "")


def _question(
    letter: str,
    known: list[tuple[Change, str]],
    lines_of: dict[str, tuple[str, ...]],
    answer: Imagined,
    now: Imagined,
) -> Question:
    lines = []
    for change, words in known:
        others = tuple(line for line in lines_of[letter] if line != change.line)
        lines.append(Line(words, address({**lines_of, letter: others})))
    changes = [change for change, _ in known]
    return Question(
        letter=letter,
        lines=tuple(lines),
        kept_lines=tuple(change.line for change in changes),
        asks_reason=any(isinstance(change, PromiseMoved) for change in changes),
        without=address({**lines_of, letter: ()}),
        refusal=answer.refusal,
        problems=tuple(one for one in answer.problems if one not in now.problems),
        at_work=answer.at_work,
    )


def change_words(
    state: WorkshopState, change: Change, skills: Mapping[int, str], people: Mapping[int, str]
) -> str:
    """What would be otherwise, in words; empty where the thing is not there or no longer as it was."""
    model = state.model
    rows, today = model.rows, model.today
    if isinstance(change, ExtraPerson) and change.skill_id in skills:
        who = (
            f"{change.name}, {skills[change.skill_id]}"
            if change.name
            else f"one more {skills[change.skill_id]}"
        )
        span = f"{day_words(change.first, today)} to {day_words(change.last, today)}"
        return f"{who}, {hours_words(change.hours)} a day, {span}"
    if isinstance(change, Overtime) and change.person_id in people:
        span = f"{day_words(change.first, today)} to {day_words(change.last, today)}"
        return f"{people[change.person_id]} works {hours_words(change.hours)} a day longer, {span}"
    if isinstance(change, BatchLeaves) and change.batch_id in rows.batches:
        batch = rows.batches[change.batch_id]
        return (
            f"{batch.process__name.lower()} batch {batch.id} goes on {day_words(change.on, today)} with what "
            "is ready; the rest follows by itself"
        )
    if isinstance(change, PulledOut | Express | DueIn) and change.operation_id in model.open_operations:
        return _line_words(state, change)
    if isinstance(change, PromiseMoved):
        for milestone in rows.milestones:
            if milestone.id == change.milestone_id:
                car = rows.cars[milestone.car_id].name
                return f"{car}: {milestone.name} promised for {day_words(change.on, today)}"
    return ""


def _line_words(state: WorkshopState, change: PulledOut | Express | DueIn) -> str:
    model = state.model
    line = model.open_operations[change.operation_id]
    part = model.rows.parts[line.part_id]
    thing = f"{part.name} ({model.rows.cars[part.car_id].name})"
    process = line.process__name.lower()
    if isinstance(change, PulledOut):
        batch = model.rows.batches.get(line.batch_id or 0)
        return f"{thing} leaves {process} batch {batch.id} and goes by itself" if batch else ""
    if isinstance(change, DueIn):
        return (
            f"{thing} in from {process} on {day_words(change.on, model.today)}" if line.state == "out" else ""
        )
    if line.state != "to do" or change.days < carriage_days(model.rows, line):
        return ""
    days = f"{change.days} working day{'' if change.days == 1 else 's'}"
    return f"{thing}: {process} in {days} instead of {model.lead_days(line)}, carriage included"


def _cars(state: WorkshopState, now: Imagined, answers: list[tuple[str, Imagined]]) -> list[CarRow]:
    rows = []
    for car in state.model.rows.cars.values():
        if car.id not in now.cars:
            continue
        base = now.cars[car.id]
        cells = [Cell("", base, 0)]
        for letter, answer in answers:
            then = answer.cars.get(car.id, CarThen(base.milestone, None, None, base.promised_on, None))
            cells.append(Cell(letter, then, _sooner(state, base, then)))
        rows.append(CarRow(car.name, page("car", car.id), base.milestone, tuple(cells), _rule(state, cells)))
    return rows


def _sooner(state: WorkshopState, base: CarThen, then: CarThen) -> int:
    if base.window is None or then.window is None:
        return 0
    before, after = base.window.even_chance, then.window.even_chance
    return state.solution.slip(after, before)


def _rule(state: WorkshopState, cells: Sequence[Cell]) -> CarRule | None:
    """One line of the drawing for each question, so that nothing is written over another."""
    shown = [(cell, cell.then.window.even_chance) for cell in cells if cell.then.window]
    if not shown:
        return None
    today, promised = state.model.today, cells[0].then.promised_on
    ends = [day for _, day in shown] + ([promised] if promised else [])
    span = (max(ends) - today).days + 7

    def x(day: date) -> float:
        return round(max(0, (day - today).days) / span * RULE_WIDTH, 1)

    monday = today + timedelta(days=7 - today.weekday())
    weeks = tuple(x(monday + timedelta(days=7 * week)) for week in range(span // 7 + 1))
    measures = tuple(
        Measure(x(day), ROW * row + 12, _label(cell, day), not cell.letter)
        for row, (cell, day) in enumerate(shown)
    )
    words = "; ".join(f"{_label(cell, day)} {day.year}" for cell, day in shown)
    if promised:
        words += f"; promised {promised.day} {promised:%b %Y}"
    top = ROW * len(shown) + 4
    return CarRule(
        width=RULE_WIDTH,
        height=top + 30,
        top=top,
        weeks=tuple(week for week in weeks if week < RULE_WIDTH),
        promise=None if promised is None else x(promised),
        measures=measures,
        words=f"Even chance {words}",
    )


def _label(cell: Cell, day: date) -> str:
    return f"{cell.letter.upper() or 'as it is'} {day.day} {day:%b}"

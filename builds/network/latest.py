"""The network of the whole workshop as it was last worked out: while nothing is changed it stays as it is."""

from __future__ import annotations

from datetime import date

from .model import Model
from .rows import Rows
from .solution import Solution

_model: Model | None = None
_solution: Solution | None = None


def latest_model(rows: Rows, today: date) -> Model:
    """The model of these rows: where they are those of the last time, that one, with all known of it."""
    global _model
    new, last = Model(rows, today), _model
    if last != new:
        last = _model = new
    return last


def latest_solution(model: Model) -> Solution:
    """A model worked out, or as it was worked out the last time."""
    global _solution
    last = _solution
    if last is None or last.model is not model:
        last = _solution = Solution.of(model)
    return last


def forget() -> None:
    """Work everything out anew the next time."""
    global _model, _solution
    _model = _solution = None

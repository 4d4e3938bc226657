"""Jobs that nobody here can do: planned as if somebody were free for them, so that other cars keep theirs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from builds.schedule.levelling.errors import NoCommonHours, TooFewPeople
from builds.schedule.levelling.problem import Task

NobodyCan = TooFewPeople | NoCommonHours


def without_people(tasks: Sequence[Task], error: NobodyCan) -> tuple[tuple[Task, ...], int]:
    """The tasks with the one refused, and those that would be refused for the same reason, needing nobody.

    Returns the tasks and how many others there were.
    """
    freed = [_freed(task) if _is_like(task, error) else task for task in tasks]
    return tuple(freed), sum(_is_like(task, error) for task in tasks) - 1


def _is_like(task: Task, error: NobodyCan) -> bool:
    if task.key == error.key:
        return True
    if isinstance(error, NoCommonHours) or not task.needs or task.named or task.skill != error.skill:
        return False
    return (task.wanted or task.people) >= error.needed


def _freed(task: Task) -> Task:
    return replace(task, people=0, skill=None, skilled=None, named=(), in_hand=False)


def words(said: str, others: int) -> str:
    """What is said of them, from the core's sentence with names: what is wrong, and how it is planned."""
    like = "1 more job that asks" if others == 1 else f"{others} more jobs that ask"
    more = f"; so {'is' if others == 1 else 'are'} {like} for the same" if others else ""
    return f"{said} It is planned as if somebody were free for it{more}."

"""Jobs for which people are missing, planned all the same, so that other cars keep their dates.

Where nobody can do a job it is planned as if somebody were free for it. Where only hands are missing, it is
planned with those who are here: they are needed for it, and not free for anything else meanwhile.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeGuard

from builds.schedule.levelling.errors import NoCommonHours, TooFewPeople
from builds.schedule.levelling.problem import Task

NobodyCan = TooFewPeople | NoCommonHours


def without_people(tasks: Sequence[Task], error: NobodyCan) -> tuple[tuple[Task, ...], int]:
    """The tasks with the one refused, and those refused for the same reason, asking for no more than is here.

    Returns the tasks and how many others there were.
    """
    is_like = [_is_like(task, error) for task in tasks]
    found = (_eased(task, error) if like else task for task, like in zip(tasks, is_like, strict=True))
    return tuple(found), sum(is_like) - 1


def _is_like(task: Task, error: NobodyCan) -> bool:
    if task.key == error.key:
        return True
    if isinstance(error, NoCommonHours) or not task.needs or task.named:
        return False
    if _lacks_hands(error):
        return task.people > len(error.able)
    return task.skill == error.skill and task.wanted > len(error.able)


def _lacks_hands(error: NobodyCan) -> TypeGuard[TooFewPeople]:
    """Whether those who could do it are here, and only too few to help them."""
    return isinstance(error, TooFewPeople) and error.skill is None and bool(error.able)


def _eased(task: Task, error: NobodyCan) -> Task:
    if _lacks_hands(error):
        people = min(task.people, len(error.able))
        skilled = None if task.skill is None else min(task.wanted, people)
        return replace(
            task, people=people, skilled=skilled, named=tuple(n for n in task.named if n in error.able)
        )
    return replace(task, people=0, skill=None, skilled=None, named=(), in_hand=False)


def words(said: str, others: int, error: NobodyCan) -> str:
    """What is said of them, from the core's sentence with names: what is wrong, and how it is planned."""
    if _lacks_hands(error):
        how, same = "with those who are here", "for more than there are"
    else:
        how, same = "as if somebody were free for it", "for the same"
    like = "1 more job that asks" if others == 1 else f"{others} more jobs that ask"
    more = f"; so {'is' if others == 1 else 'are'} {like} {same}" if others else ""
    return f"{said} It is planned {how}{more}."

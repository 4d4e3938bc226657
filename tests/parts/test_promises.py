"""What suppliers promise: every word is kept, the newest counts."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from parts.services.operations import operation_accept, operation_send
from parts.services.promises import supplier_promise


@pytest.fixture
def out(lines: Any, fitter: Any, day: Any) -> Any:
    return operation_send(operation=lines[0], on=day(-10), by=fitter, promised_on=day(-2))


def test_a_new_promise_counts_and_the_old_one_stays(out: Any, manager: Any, day: Any) -> None:
    supplier_promise(operation=out, promised_on=day(5), on=day(0), by=manager, note="welder was ill")
    out.refresh_from_db()
    assert out.promised_on == day(5)
    assert [(p.promised_on, p.made_on, p.note) for p in out.promises.all()] == [
        (day(-2), day(-10), ""),
        (day(5), day(0), "welder was ill"),
    ]


def test_an_older_word_written_down_late_does_not_count(out: Any, manager: Any, day: Any) -> None:
    supplier_promise(operation=out, promised_on=day(5), on=day(0), by=manager)
    supplier_promise(operation=out, promised_on=day(2), on=day(-3), by=manager)
    out.refresh_from_db()
    assert (out.promised_on, out.promises.count()) == (day(5), 3)


def test_the_same_promise_twice_changes_nothing_and_says_so(out: Any, manager: Any, day: Any) -> None:
    supplier_promise(operation=out, promised_on=day(5), on=day(0), by=manager)
    with pytest.raises(ValidationError, match="on record already") as second:
        supplier_promise(operation=out, promised_on=day(5), on=day(0), by=manager)
    assert second.value.code == "already"
    assert out.promises.count() == 2


@pytest.mark.parametrize(
    ("promised", "made", "words"),
    [
        (-11, -10, "cannot be meant"),
        (-1, 0, "was over by then"),
        (5, 1, "has not come yet"),
        (5, -11, "cannot be older"),
        (2000, 0, "Check the year"),
    ],
)
def test_a_promise_must_be_possible(
    out: Any, manager: Any, day: Any, promised: int, made: int, words: str
) -> None:
    with pytest.raises(ValidationError, match=words):
        supplier_promise(operation=out, promised_on=day(promised), on=day(made), by=manager)
    out.refresh_from_db()
    assert (out.promised_on, out.promises.count()) == (day(-2), 1)


def test_nobody_owes_what_is_not_out(lines: Any, out: Any, manager: Any, day: Any) -> None:
    with pytest.raises(ValidationError, match="not out"):
        supplier_promise(operation=lines[1], promised_on=day(5), on=day(0), by=manager)
    operation_accept(operation=out, on=day(0), by=manager)
    with pytest.raises(ValidationError, match="not out"):
        supplier_promise(operation=out, promised_on=day(5), on=day(0), by=manager)
    assert out.promises.count() == 1


def test_a_note_too_long_changes_nothing(out: Any, manager: Any, day: Any) -> None:
    with pytest.raises(ValidationError):
        supplier_promise(operation=out, promised_on=day(5), on=day(0), by=manager, note="x" * 201)
    assert out.promises.count() == 1

"""The page of one batch: look, send, take back, dissolve."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client

from builds.models import Skill
from builds.network import load_workshop
from parts.batching.words import short_day
from parts.models import FinishingBatch, Operation


def text(response: Any) -> str:
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def address(batch: Any, act: str = "") -> str:
    return f"/finishing/batches/{batch.pk}/{act}"


def test_a_waiting_batch_shows_its_members_and_what_waiting_does(
    clip: Any, late: Any, make_batch: Any, as_manager: Client, tern: Any, make_job: Any, first_start_up: Any
) -> None:
    line = clip()
    first_start_up(tern, make_job(tern, "fit", needs=[line.part]))

    shown = text(as_manager.get(address(make_batch(line, late))))

    assert "1 ready, 1 late piece" in shown
    assert "Leaving now, or waiting" in shown
    assert f'name="stays" value="{late.pk}" checked' in shown
    assert f'name="stays" value="{line.pk}">' in shown


def test_what_leaving_does_is_told_as_without_people_and_the_dates_with_them_are_fetched(
    clip: Any,
    make_batch: Any,
    as_manager: Client,
    tern: Any,
    fitter: Any,
    make_job: Any,
    first_start_up: Any,
    today: date,
) -> None:
    line = clip()
    jobs = [
        make_job(tern, title, hours=200) for title in ("wire", "trim")
    ]  # one after the other by one person
    first_start_up(tern, make_job(tern, "fit", needs=[line.part]), *jobs)
    batch = make_batch(line)

    shown, with_people = (
        text(as_manager.get(address(batch))),
        text(as_manager.get(address(batch, "?people=1"))),
    )

    start_up = load_workshop(today).dated().cars[tern.pk].first_start_up
    free, window = short_day(start_up.bare_on, today), start_up.window
    assert window.even_chance > start_up.bare_on + timedelta(20)
    for page in (shown, with_people):
        assert "What leaving does is worked out as if somebody were always free" in page
        assert f'<td class="nowrap">{free}</td>' in page
    fetched = f'hx-get="{address(batch)}?people=1"'
    even = f"even chance <b>{short_day(window.even_chance, today)}</b>"
    four = f'href="/cars/{tern.pk}/certainty/">four in five {short_day(window.four_in_five, today)}</a>'
    assert [words in shown for words in (fetched, even, four)] == [True, False, False]
    assert [words in with_people for words in (fetched, even, four)] == [False, True, True]


def test_beside_the_dates_with_people_it_stands_what_they_leave_out(
    clip: Any, make_batch: Any, as_manager: Client, tern: Any, fitter: Any, make_job: Any, first_start_up: Any
) -> None:
    electrician = Skill.objects.create(name="electrician")
    line = clip()
    first_start_up(tern, make_job(tern, "wire", skill=electrician, needs=[line.part]))
    where = address(make_batch(line), "?people=1")

    assert "and there is nobody. It is planned as if somebody were free for it" in text(as_manager.get(where))
    fitter.skills.add(electrician)
    assert "It is planned as if somebody were free for it" not in text(as_manager.get(where))


def test_sending_records_goods_out_and_leaves_behind_what_is_ticked(
    clip: Any, late: Any, make_batch: Any, as_manager: Client, today: date
) -> None:
    line = clip()
    batch = make_batch(line, late)
    promised = today + timedelta(9)

    response = as_manager.post(
        address(batch, "send/"),
        {"on": today, "promised_on": promised, "stays": [late.pk], "version": batch.version},
        follow=True,
    )

    line.refresh_from_db()
    late.refresh_from_db()
    assert (line.sent_on, line.promised_on) == (today, promised)
    assert (late.sent_on, late.batch) == (None, None)
    shown = text(response)
    assert "Out at Ferrand Plating since" in shown
    assert 'name="stays"' not in shown


def test_a_member_that_is_not_ready_must_be_left_behind_by_name(
    clip: Any, late: Any, make_batch: Any, as_manager: Client, today: date
) -> None:
    batch = make_batch(clip(), late)

    shown = text(as_manager.post(address(batch, "send/"), {"on": today, "version": batch.version}))

    assert "“headlamp brackets” of Skua cannot go" in shown
    assert f'name="stays" value="{late.pk}">' in shown, "what was ticked is not ticked anew behind one's back"
    assert not Operation.objects.filter(batch=batch, sent_on__isnull=False).exists()


@pytest.mark.parametrize(
    "fields",
    [
        {"on": ""},
        {"on": "rubbish"},
        {"on": "2999-01-01"},
        {"on": "1999-01-01"},
        {"promised_on": "1999-01-01"},
        {"promised_on": "9999-12-31"},
        {"stays": "x"},
        {"stays": "²"},
        {"stays": "9" * 5000},
        {"stays": "999999"},
        {"version": ""},
        {"version": "77"},
    ],
)
def test_bad_input_sends_nothing_and_says_so(
    clip: Any, make_batch: Any, as_manager: Client, today: date, fields: dict[str, str]
) -> None:
    batch = make_batch(clip())

    shown = text(as_manager.post(address(batch, "send/"), {"on": today, "version": batch.version, **fields}))

    assert "errorlist" in shown
    batch.refresh_from_db()
    assert batch.sent_on is None
    assert not Operation.objects.filter(sent_on__isnull=False).exists()


def test_a_double_press_sends_once(clip: Any, make_batch: Any, as_manager: Client, today: date) -> None:
    batch = make_batch(clip())
    data = {"on": today, "version": batch.version}
    as_manager.post(address(batch, "send/"), data)
    before = list(Operation.objects.values())

    shown = text(as_manager.post(address(batch, "send/"), data))

    assert "went out on" in shown
    assert list(Operation.objects.values()) == before


def test_a_wrong_goods_out_is_taken_back(clip: Any, make_batch: Any, as_manager: Client, today: date) -> None:
    batch = make_batch(clip())
    as_manager.post(address(batch, "send/"), {"on": today, "version": batch.version})
    batch.refresh_from_db()

    as_manager.post(address(batch, "take-back/"), {"version": batch.version})

    batch.refresh_from_db()
    assert batch.sent_on is None
    assert not Operation.objects.filter(sent_on__isnull=False).exists()


def test_a_batch_is_dissolved(clip: Any, make_batch: Any, as_manager: Client) -> None:
    batch = make_batch(clip())

    response = as_manager.post(address(batch, "dissolve/"), {"version": batch.version}, follow=True)

    assert "free for another" in text(response)
    assert FinishingBatch.objects.count() == 0


@pytest.mark.parametrize("act", ["take-back/", "dissolve/"])
@pytest.mark.parametrize("version", ["", "x", "77"])
def test_an_act_on_another_state_of_the_batch_changes_nothing(
    clip: Any, make_batch: Any, as_manager: Client, act: str, version: str
) -> None:
    batch = make_batch(clip())

    response = as_manager.post(address(batch, act), {"version": version}, follow=True)

    assert "message error" in text(response)
    assert batch.operations.count() == 1


@pytest.mark.parametrize("act", ["send/", "take-back/", "dissolve/", "change/"])
def test_a_fitter_only_looks(clip: Any, make_batch: Any, as_fitter: Client, today: date, act: str) -> None:
    batch = make_batch(clip())

    assert as_fitter.post(address(batch, act), {"on": today, "version": batch.version}).status_code == 403
    shown = text(as_fitter.get(address(batch)))
    assert "ready now" in shown
    assert "Record goods out" not in shown
    assert "Dissolve" not in shown


def test_a_batch_that_is_not_there_is_said_to_be_missing(workshop: Any, as_manager: Client) -> None:
    assert as_manager.get("/finishing/batches/7/").status_code == 404
    assert as_manager.post("/finishing/batches/7/send/").status_code == 404


def test_a_batch_with_no_piece_left_says_what_to_do(clip: Any, make_batch: Any, as_manager: Client) -> None:
    line = clip()
    batch = make_batch(line)
    line.part.delete()

    assert "Dissolve it, or take some in" in text(as_manager.get(address(batch)))


def test_html_in_a_note_is_shown_and_not_obeyed(clip: Any, make_batch: Any, as_manager: Client) -> None:
    batch = make_batch(clip("<script>x</script>"))
    batch.note = "<img src=x>"
    batch.save()

    shown = text(as_manager.get(address(batch)))
    assert "<script>x" not in shown
    assert "<img src=x>" not in shown


@pytest.mark.parametrize("count", [2, 20])
def test_the_number_of_queries_does_not_grow(
    clip: Any,
    make_batch: Any,
    as_manager: Client,
    count: int,
    django_assert_num_queries: Any,
    network_queries: int,
) -> None:
    batch = make_batch(*[clip(f"clip {number}") for number in range(count)])

    with django_assert_num_queries(network_queries + 11):
        as_manager.get(address(batch))


def test_a_batch_that_is_all_back_says_so(
    clip: Any, make_batch: Any, as_manager: Client, today: date
) -> None:
    batch = make_batch(clip())
    FinishingBatch.objects.update(sent_on=today)
    Operation.objects.update(sent_on=today, back_on=today)

    shown = text(as_manager.get(address(batch)))

    assert "All back from Ferrand Plating by" in shown
    assert "It did not go out" not in shown

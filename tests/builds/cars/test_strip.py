"""Where things stand on the time strip: counted by hand on March 2027."""

from dataclasses import replace
from datetime import date, timedelta

from builds.facts import CarFacts, ChainStep, MilestoneFacts, Window
from builds.sheets.strip import WIDTH, chain_groups, last_day_needed, time_strip

TODAY = date(2027, 3, 1)  # a Monday
DAYS = [day for day in (TODAY + timedelta(days=n) for n in range(28)) if day.weekday() < 5]  # 20 days
STEP = WIDTH / 20


def _step(text, start, finish, *, waits=False):
    return ChainStep(text, text, "/jobs/1/", date(2027, 3, start), date(2027, 3, finish), waits, 0)


START_UP = MilestoneFacts(
    milestone_id=1,
    kind="first start-up",
    name="first start-up",
    on=date(2027, 3, 12),
    reached_on=None,
    promised_on=date(2027, 3, 5),
    slip_days=5,
    find_window=lambda: Window(date(2027, 3, 12), date(2027, 3, 24)),
    chain=(_step("radiator", 1, 4, waits=True), _step("fit", 5, 8), _step("fill", 9, 12)),
    sentence="",
)
CAR = CarFacts(1, "here", False, START_UP, (START_UP,), 1, 1, 0, 0, 3, (), ())


def test_each_bar_covers_its_working_days():
    strip = time_strip(CAR, TODAY, DAYS)

    radiator, ours = strip.chain
    assert (radiator.x, radiator.width) == (0, 4 * STEP)
    assert (ours.x, ours.width) == (4 * STEP, 6 * STEP)  # Friday 5 to Friday 12
    assert radiator.is_waiting
    assert ours.label == "2 jobs of ours"


def test_the_start_up_and_the_promise_stand_at_the_end_of_their_days():
    strip = time_strip(CAR, TODAY, DAYS)

    assert strip.start_up.x == 10 * STEP
    assert strip.promise.x == 5 * STEP
    assert strip.four_in_five.x == 18 * STEP


def test_mondays_are_the_longer_graduations():
    strip = time_strip(CAR, TODAY, DAYS)

    assert [mark.length for mark in strip.marks[:7]] == [10, 10, 10, 10, 10, 24, 10]
    assert strip.marks[5].label == "8 Mar"


def test_the_words_say_what_the_picture_shows():
    words = time_strip(CAR, TODAY, DAYS).words

    assert words == (
        "Working days to first start-up on 12 Mar: radiator to 4 Mar; fit to 8 Mar; fill to 12 Mar. "
        "Four in five by 24 Mar. Promised for 5 Mar."
    )


def test_without_a_date_there_is_no_strip():
    undated = replace(START_UP, on=None)

    assert time_strip(replace(CAR, first_start_up=undated), TODAY, DAYS) is None
    assert time_strip(replace(CAR, first_start_up=None), TODAY, DAYS) is None


def test_a_date_years_ahead_stays_on_the_rule():
    far = replace(START_UP, on=date(2030, 3, 12), find_window=lambda: None, chain=())
    last = last_day_needed(replace(CAR, first_start_up=far), TODAY)
    days = [
        day for day in (TODAY + timedelta(days=n) for n in range((last - TODAY).days)) if day.weekday() < 5
    ]

    strip = time_strip(replace(CAR, first_start_up=far), TODAY, days)

    assert len(days) <= 401
    assert strip.start_up.x <= WIDTH


def test_jobs_of_ours_are_grouped_and_waits_stand_alone():
    groups = chain_groups(START_UP.chain)

    assert [[step.text for step in group] for group in groups] == [["radiator"], ["fit", "fill"]]

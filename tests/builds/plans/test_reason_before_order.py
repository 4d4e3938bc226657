"""Where a part comes just as the hands that fit it are free, the part is named: the order is the plan's."""

from datetime import date

import pytest

from builds.network import load_workshop

TODAY = date(2027, 3, 3)  # a Wednesday without holidays near it; the workshop opens at eight


@pytest.fixture
def pump_at_midday(tern, skua, plater, fitter, make_part, make_job, first_start_up):
    """The only fitter welds on Skua for four hours, until midday, about when the pump is here for Tern."""
    pump = make_part(tern, "pump", route=[("supply", plater, 5)])
    pump.operations.update(sent_on=date(2027, 3, 1), promised_on=TODAY)
    first_start_up(tern, make_job(tern, "Fit pump", hours=2, needs=[pump]), promised=date(2027, 3, 3))
    first_start_up(skua, make_job(skua, "Weld", hours=4))


def test_the_part_is_named_and_not_who_was_busy_until_then(pump_at_midday, tern):
    state = load_workshop(TODAY)
    start_up = state.dated().cars[tern.pk].first_start_up
    handed = {one.before for one in state.ordered.hand_overs}

    assert len(handed) == 1  # the fitter goes from the one to the other
    assert [step.short for step in start_up.chain] == ["pump: supply", "Fit pump"]

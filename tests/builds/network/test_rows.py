"""Rows as plain values: read by column, they are what Django gives one by one."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from builds.models import Job, JobLink
from builds.network.rows import JobRow, LinkRow, OperationRow, _read, read_rows
from parts.models import Operation

pytestmark = pytest.mark.django_db


@pytest.fixture
def entered(tern, make_job, make_part, plater, line):
    """Two jobs of which one waits for the other to cure, and a part that is out."""
    part = make_part(tern, "bracket", route=[("weld", plater, 2), ("blast", plater, 3)])
    line(part, 1, sent_on=date(2027, 3, 1), promised_on=date(2027, 3, 9))
    prime = make_job(tern, "prime", hours=Decimal("2.25"), needs_signature=True)
    paint = make_job(tern, "paint", hours=Decimal("2.25"), needs=[part], after=[prime])
    JobLink.objects.filter(after=paint).update(lag_hours=Decimal("12.5"))
    Job.objects.filter(pk=prime.pk).update(started_at=datetime(2027, 3, 2, 8, 30, tzinfo=UTC))
    return prime, paint


@pytest.mark.parametrize(("kind", "model"), [(JobRow, Job), (LinkRow, JobLink), (OperationRow, Operation)])
def test_each_value_is_the_one_that_django_gives(entered, kind, model):
    found = _read(kind, model.objects.order_by("pk"))

    given = list(model.objects.order_by("pk").values_list(*kind._fields))
    assert len(given) >= 1
    assert [tuple(row) for row in found] == given
    assert repr([tuple(row) for row in found]) == repr(given)  # 2.25 is not 2.250, nor True 1
    assert all(type(row) is kind for row in found)


def test_hours_and_moments_are_read_as_they_were_entered(entered):
    prime, paint = entered

    rows = read_rows()

    assert str(rows.jobs[prime.pk].hours_likely) == "2.25"
    assert rows.jobs[prime.pk].needs_signature is True
    assert rows.jobs[prime.pk].started_at == datetime(2027, 3, 2, 8, 30, tzinfo=UTC)
    assert rows.jobs[paint.pk].started_at is None
    assert [str(link.lag_hours) for link in rows.links] == ["12.5"]


def test_of_no_cars_there_are_no_rows(entered):
    rows = read_rows(())

    assert rows.jobs == rows.parts == rows.operations == {}
    assert rows.links == rows.needs == ()

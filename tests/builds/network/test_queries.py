"""The whole workshop comes in a fixed number of queries, however many jobs there are."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

QUERIES = 21  # listed, with two of stamps, in builds.network.rows.read_rows


@pytest.mark.django_db
@pytest.mark.parametrize("jobs", [2, 20])
def test_the_number_of_queries_does_not_grow(jobs, tern, make_job, make_part, plater, first_start_up, state):
    made = [
        make_job(
            tern, f"job {number}", needs=[make_part(tern, f"part {number}", route=[("weld", plater, 2)])]
        )
        for number in range(jobs)
    ]
    first_start_up(tern, *made)

    with CaptureQueriesContext(
        connection,
    ) as queries:
        state().facts()

    assert len(queries) == QUERIES

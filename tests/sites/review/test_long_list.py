"""Lists among many cases: their queries do not grow, and each page follows an index.

A file of its own: its rows stay for all its tests, and other tests of lists count what they find.
"""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from sites.cases.models import Case
from sites.cases.moves import STATES, replay
from sites.management.benchmarks.trial_cases import make_trial_cases
from sites.review.reading.case_list import cases_of, in_order, listed
from tests.sites.making import island, make_person, make_premises

# Each database puts rows in order in its own way.
pytestmark = [pytest.mark.django_db, pytest.mark.database]

WORK, REVIEW = "/", "/review/"


@pytest.fixture(scope="module")
def trial(rows_for_all):
    """All states, by copies of two premises."""
    make_premises()
    make_premises(**island())
    make_trial_cases(150)
    return make_person("engineer")


QUERIES = [
    (WORK, {"owner": ""}),
    (WORK, {"owner": "me"}),
    (WORK, {"state": "sent"}),
    (WORK, {"due": "overdue"}),
    (WORK, {"open": "stops"}),
    (WORK, {"q": "ZZ14"}),
    (WORK, {"q": "crake (invented)"}),
    (WORK, {"owner": "", "sort": "-reference"}),
    (REVIEW, {"owner": ""}),
]


@pytest.mark.parametrize(("address", "asked"), QUERIES)
def test_queries_do_not_grow_with_cases(client, trial, address, asked):
    client.force_login(trial)
    few = counted_queries(client, address, asked)
    make_trial_cases(300)
    assert counted_queries(client, address, asked) <= few
    assert few <= 24


def counted_queries(client, address, asked):
    client.get(address, asked)
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address, asked).status_code == 200
    return len(captured)


@pytest.mark.parametrize(
    "only",
    [{}, {"state": "sent"}, {"owner": 1}, {"for_engineer": True}, {"urgency__lt": "1"}],
    ids=str,
)
def test_a_page_follows_an_index_and_sorts_nothing(trial, only):
    """Rows are read in the order of an index, up to the last of the page: a number that does not
    grow with the cases, since nothing has to be sorted first."""
    cases = cases_of(trial).filter(archived_at__isnull=True, **only)
    ordered, _order = in_order(cases, "", few=False)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:  # so small a table would be read whole and sorted
            cursor.execute("SET LOCAL enable_seqscan = off")
            cursor.execute("SET LOCAL enable_sort = off")
            cursor.execute("SET LOCAL enable_bitmapscan = off")
    plan = ordered[:25].explain()
    assert "case_" in plan
    assert "TEMP B-TREE" not in plan
    assert "Sort" not in plan


def test_the_trial_has_every_state_by_moves_of_the_table(trial):
    assert set(Case.objects.values_list("state", flat=True)) == set(STATES)
    for case in Case.objects.prefetch_related("moves"):
        moves = [(move.act, move.from_state, move.to_state) for move in case.moves.all()]
        end = replay(moves)
        assert (end.state, end.way, len(moves)) == (case.state, case.way, case.move_number)
    row = listed(Case.objects.filter(state="sent").values_list("pk", flat=True)[:1])[0]
    assert row.stale == ""

"""Measure the lists of cases for `manage.py bench`: at 1,000, 10,000 and 100,000 invented cases."""

import statistics
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import TYPE_CHECKING, Any

from sites.management.benchmarks.core import Figure, median_s
from sites.management.scratch_demo import HOST, scratch_demo

if TYPE_CHECKING:
    from django.test import Client

SIZES = (1_000, 10_000, 100_000)
PEOPLE = 20
EACH = 10
"""Pages that each of them opens."""
PAUSE_S = 2.0
"""Seconds that somebody reads a page before opening the next; our own choice."""

ADDRESSES = (
    "/?owner=",
    "/?owner=me",
    "/?state=sent",
    "/?state=completed",
    "/?due=overdue",
    "/?open=stops",
    "/?open=engineer",
    "/?owner=&sort=reference",
    "/?owner=&page=40",
    "/?q=ZZ14",
    "/?q=TR-000777",
    "/?q=heron",
    "/?q=01632+960+417",
    "/review/?owner=",
)


def lists() -> Iterator[Figure]:
    """The work list, the engineers' list and the search, and how they grow."""
    from sites.management.benchmarks.trial_cases import make_trial_cases

    spent: dict[int, dict[str, float]] = {}
    queries: dict[int, dict[str, int]] = {}
    with scratch_demo():
        for size in SIZES:
            make_trial_cases(size)
            look_at_tables()
            spent[size], queries[size] = times(), queries_of()
        quick = sorted(with_people())
    few, many = SIZES[0], SIZES[-1]
    slowest = max(spent[many], key=lambda address: spent[many][address])
    yield Figure(
        f"a list of {many:,} cases, its slowest page",
        spent[many][slowest] * 1000,
        "ms",
        150,
        True,
        f"{slowest}, {queries[many][slowest]} queries",
    )
    grown = max(queries[many][address] - queries[few][address] for address in ADDRESSES)
    yield Figure(f"queries of a list more at {many:,} cases than at {few:,}", grown, "", 0.5, True)
    ratio = sum(spent[many].values()) / sum(spent[few].values())
    yield Figure(f"lists at {many:,} cases, times those at {few:,}", ratio, "", 2, True)
    at_95 = statistics.quantiles(quick, n=20)[-1] * 1000
    note = f"a page each {PAUSE_S:g} s"
    yield Figure(f"lists with {PEOPLE} people, 95th percentile", at_95, "ms", 150, True, note)


def look_at_tables() -> None:
    """Have the database count its rows, as it does by itself in time."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def times() -> dict[str, float]:
    """The median duration of each page in seconds."""
    client = client_of(0)
    return {address: median_s(partial(opened, client, address), 7) for address in ADDRESSES}


def queries_of() -> dict[str, int]:
    """The number of queries of each page."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    found = {}
    client = client_of(0)
    for address in ADDRESSES:
        with CaptureQueriesContext(connection) as captured:
            opened(client, address)
        found[address] = len(captured)
    return found


def with_people() -> list[float]:
    """The durations of pages that people open side by side."""
    with ThreadPoolExecutor(PEOPLE) as pool:
        return [spent for some in pool.map(_person, range(PEOPLE)) for spent in some]


def _person(number: int) -> list[float]:
    from django.db import connection

    client = client_of(number)
    time.sleep(PAUSE_S * number / PEOPLE)
    spent = []
    for turn in range(EACH):
        begun = time.perf_counter()
        opened(client, ADDRESSES[(number + turn) % len(ADDRESSES)])
        spent.append(time.perf_counter() - begun)
        time.sleep(PAUSE_S)
    connection.close()
    return spent


def client_of(number: int) -> "Client":
    """Somebody of the trial, signed in."""
    from django.test import Client

    from sites.people.models import Person

    people = Person.objects.filter(email__endswith="@trial.example", roles__key="office")
    client = Client(SERVER_NAME=HOST)
    client.force_login(
        people.order_by("pk")[number % people.count()],
        backend="django.contrib.auth.backends.ModelBackend",
    )
    return client


def opened(client: "Client", address: str) -> Any:
    """Open a page. Raises RuntimeError where it does not answer."""
    answer = client.get(address)
    if answer.status_code != 200:
        raise RuntimeError(f"{address} answers {answer.status_code}")
    return answer

"""Measure the pages for `manage.py bench`: on the demo, in a database for it alone."""

import statistics
from collections.abc import Iterator
from functools import partial
from itertools import count
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from sites.management.benchmarks.core import Figure, median_s
from sites.management.scratch_demo import HOST, scratch_demo

TWENTY_UNITS = "FH-111 twenty units on three boards"
RULEBOOK = (
    "rulebook",
    "rulebook-values",
    "rulebook-table",
    "rulebook-steps",
    "rulebook-settings",
    "rulebook-sources",
    "rulebook-difference",
)
if TYPE_CHECKING:
    from django.test import Client

READY_TO_ISSUE = "FH-103 string inverter, AC-coupled storage, 16 A limit"


def pages() -> Iterator[Figure]:
    """The panel, the pages of the demo, and an issued pack asked for again."""
    with scratch_demo():
        yield from _panel()
        yield _quick_look()
        yield _every_page()
        yield _issued_pack()


def _client(place: int) -> "Client":
    from django.test import Client

    from sites.desk.writing.demonstration import PEOPLE
    from sites.people.models import Person

    client = Client(SERVER_NAME=HOST)
    client.force_login(
        Person.objects.get(email=PEOPLE[place][0]),
        backend="django.contrib.auth.backends.ModelBackend",
    )
    return client


def _panel() -> Iterator[Figure]:
    from django.urls import reverse

    from sites.deciding.reading.deciding import decide_site
    from sites.premises.forms.written import raw_of
    from sites.premises.models import Design
    from sites.premises.reading.site_rows import rows_of_designs, site_from

    design = Design.objects.select_related("premises").get(premises__reference=TWENTY_UNITS)
    rows = rows_of_designs([design])[design.pk]
    typed = urlencode(dict(raw_of(rows)), doseq=True)
    client = _client(0)
    address = reverse("design-panel", args=[design.key])

    def post() -> None:
        answer = client.post(address, typed, content_type="application/x-www-form-urlencoded")
        if answer.status_code != 200:
            raise RuntimeError(f"the panel answers {answer.status_code}")

    spent = median_s(post, 20)
    yield Figure("panel with 20 units, server time", spent * 1000, "ms", 100, True)
    site = site_from(rows)
    spent = median_s(lambda: decide_site(site), 200)
    yield Figure("of which deciding, with its sentences", spent * 1000, "ms", 5, True)


def _quick_look() -> Figure:
    """A change of the quick look: all five ways decided anew, with their costs."""
    from django.urls import reverse

    client = _client(0)
    address = reverse("quick-look")
    powers = count(2_000)

    def change() -> None:
        typed = {"battery_w": f"{next(powers)} W", "there_kind": "string", "there_w": "3.6"}
        answer = client.get(address, typed)
        if answer.status_code != 200 or answer.content.count(b'class="way"') != 5:
            raise RuntimeError(f"the quick look answers {answer.status_code}")

    spent = median_s(change, 20)
    return Figure(
        "a change of the quick look, five ways, server time", spent * 1000, "ms", 100, True
    )


def _every_page() -> Figure:
    from django.urls import reverse

    from sites.cases.models import Case

    client = _client(1)
    cases = list(Case.objects.select_related("premises", "design", "application"))
    addresses = [reverse("work-list"), reverse("review-list"), reverse("premises-new")]
    addresses += [reverse(name) for name in RULEBOOK]
    for case in cases:
        addresses += [
            reverse("premises", args=[case.premises.key]),
            reverse("design-sheet", args=[case.design.key]),
            reverse("case-review", args=[case.key]),
            reverse("case-checks", args=[case.key]),
            reverse("case-explained", args=[case.key]),
            reverse("pack-preview", args=[case.application.key]),
            reverse("events", args=[case.premises.key]),
        ]
    spent = []
    for address in addresses:
        if client.get(address).status_code != 200:
            raise RuntimeError(f"{address} does not answer")
        spent += [median_s(partial(client.get, address), 1) for _ in range(3)]
    slowest = statistics.quantiles(spent, n=20)[-1]
    return Figure(
        "pages of the demo, 95th percentile",
        slowest * 1000,
        "ms",
        150,
        True,
        f"{len(addresses)} pages",
    )


def _issued_pack() -> Figure:
    from django.urls import reverse

    from sites.cases.models import Case
    from sites.desk.writing.demonstration import PEOPLE
    from sites.packs.reading.packs import draft_of
    from sites.packs.writing.issuing import PreviewSeen, issue_pack
    from sites.packs.writing.printing import print_frozen
    from sites.people.models import Person

    case = Case.objects.get(premises__reference=READY_TO_ISSUE)
    draft = draft_of(case.application)
    if draft.pack is None:
        raise RuntimeError(f"{READY_TO_ISSUE} has no pack")
    frozen = issue_pack(
        application=case.application,
        seen=PreviewSeen(
            case.application.version, draft.pack.revision, draft.pack.digests.technical
        ),
        declaration=None,
        by=Person.objects.get(email=PEOPLE[1][0]),
    )
    print_frozen(frozen.digest)
    client = _client(1)
    address = reverse("pack-print", args=[frozen.key])

    def ask() -> None:
        answer = client.get(address)
        if answer.getvalue()[:5] != b"%PDF-":
            raise RuntimeError("the issued pack does not come")

    return Figure("issued pack asked for again", median_s(ask, 50) * 1000, "ms", 20, True)

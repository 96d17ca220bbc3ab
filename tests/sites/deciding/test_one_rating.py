"""One rating, followed from the box into which it is typed to the bar of its phase."""

from typing import Any

import pytest
from django.http import QueryDict

from connections.facts import reading
from connections.facts.site import Unit
from sites.deciding.reading.deciding import decide_rows
from sites.deciding.reading.panel import phase_bars
from sites.house.boxes.typed import Typed
from sites.premises.forms.posted import posted_sheet
from sites.premises.forms.sheet import Sheet
from sites.premises.reading.site_rows import plain_from

pytestmark = pytest.mark.django_db

BOX = "proposed-units-0-rated_w"
POST = (
    "case-reference=one&supply-phases=1&proposed-units-TOTAL_FORMS=1&proposed-units-0-source=pv"
    f"&proposed-units-0-label=pv-1&{BOX}=3.68&proposed-units-0-quantity=1"
)
AT_MOST = 8
"""From the issue: forms that a typed rating passes until it is a bar."""


def test_a_rating_passes_at_most_eight_forms():
    passed: dict[str, Any] = {}
    typed = posted_sheet(QueryDict(POST)).raw
    passed["texts by name, as posted and as kept in a draft"] = typed[BOX]
    sheet = Sheet(typed)
    form = sheet.groups["proposed-units"].forms[0]
    passed["text of a box, with the answer to a question"] = form.typed("rated_w")
    passed["fact of a box"] = form.fact("rated_w")
    rows = sheet.rows
    passed["column of a row"] = rows.proposed.units[0].rated_w
    passed["plain site file"] = plain_from(rows)["units"][0]["rated_w"]
    decided = decide_rows(rows)
    assert decided.site is not None
    assert decided.decided is not None
    assert decided.decision is not None
    assert decided.book is not None
    passed["facts"] = decided.site.units[0].rated_w
    [line] = decided.decided.case.lines
    assert isinstance(line.unit, Unit)
    passed["counted line of the rules"] = line.rated
    [term] = decided.decision.phase_sums[0].terms
    passed["term of a sum in the decision"] = term.rated_w
    assert list(passed.values()) == [
        ["3.68"],
        Typed("3.68"),
        3680,
        3680,
        3680,
        3680,
        (3680, 3680),  # the least and the most that it can be
        3680,
    ]
    assert len(passed) <= AT_MOST
    [bar] = phase_bars(decided.decision, decided.book)
    assert (bar.amps, bar.power) == ("16 A", "3.68 kW")


def test_rows_become_facts_without_being_read_as_a_file(monkeypatch):
    def refused(_raw: object) -> None:
        raise AssertionError("rows are facts at hand, not a file to read")

    monkeypatch.setattr(reading, "_decoder", type("Refusing", (), {"decode": refused}))
    rows = Sheet(posted_sheet(QueryDict(POST)).raw).rows
    assert decide_rows(rows).decision is not None

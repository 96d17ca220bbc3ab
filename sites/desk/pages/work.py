"""The work list."""

from typing import Any

from django.core.paginator import Page, Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from sites.desk.reading.work import (
    STATES,
    new_sheet_begun,
    premises_matching,
    work_rows,
    work_rows_in,
)
from sites.looks.reading.found_by_looks import touched_premises
from sites.people.fetching import person_of
from sites.premises.models import Premises

ROWS = 25
TOUCHED = "touched"
"""Address word that keeps premises touched by a change of rules; it is no state."""


@require_safe
def work_list(request: HttpRequest) -> HttpResponse:
    """List one row per premises; `q` searches words, `state` and `page` select rows."""
    person = person_of(request)
    words = request.GET.get("q", "").strip()
    asked = request.GET.get("state", "")
    state = asked if asked in STATES else ""
    found = premises_matching(words)
    to_look_at = touched_premises()
    if person.is_installer:
        # None is given to anybody yet.
        found, to_look_at = found.none(), to_look_at.none()
    if asked == TOUCHED:
        found = found.filter(pk__in=to_look_at.values("pk"))
    page: Page[Any]
    if state:
        page = Paginator(work_rows_in(found, state=state, person=person), ROWS).get_page(
            request.GET.get("page")
        )
        shown = list(page.object_list)
    else:
        page = Paginator(found, ROWS).get_page(request.GET.get("page"))
        shown = work_rows(list(page.object_list), person=person)
    filtered = bool(words or state or asked == TOUCHED)
    return render(
        request,
        "desk/list.html",
        {
            "rows": shown,
            "page": page,
            "words": words,
            "state": state or (asked if asked == TOUCHED else ""),
            "states": {**STATES, TOUCHED: "Touched by a change of rules"},
            "touched": 0 if filtered else to_look_at.count(),
            "touched_state": TOUCHED,
            "filtered": filtered,
            "nothing_yet": not shown and not (filtered and Premises.objects.exists()),
            "begun": new_sheet_begun(person),
            "asked": urlencode({"q": words, "state": asked if filtered else ""}),
        },
    )

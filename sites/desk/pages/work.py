"""The work list."""

from django.http import HttpRequest, HttpResponseBase
from django.views.decorators.http import require_safe

from sites.desk.reading.work import (
    new_sheet_begun,
    touched_cases,
    touched_in_words,
    with_beside,
)
from sites.people.fetching import person_of
from sites.review.pages.listing import show_cases


@require_safe
def work_list(request: HttpRequest) -> HttpResponseBase:
    """List the cases, by what stops and by due day; the address holds filters, order and page."""
    person = person_of(request)
    touched = None if person.is_installer else touched_cases()
    return show_cases(
        request,
        "work",
        person=person,
        touched=touched,
        beside=with_beside,
        context={
            "touched": touched_in_words(touched) if touched is not None else "",
            "begun": new_sheet_begun(person),
        },
    )

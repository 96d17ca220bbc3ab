"""Pages that list the cases for an engineer, and review one case."""

from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.views.decorators.http import require_safe

from sites.cases.models import Case
from sites.house.fetching import row_or_404
from sites.people.fetching import person_of
from sites.review.pages.listing import show_cases
from sites.review.pages.showing import show_review
from sites.review.reading.case_list import cases_of
from sites.review.reading.review import review_line


@require_safe
def review_list(request: HttpRequest) -> HttpResponseBase:
    """List the cases that wait for an engineer: those that stop first, then by due day."""
    person = person_of(request)
    return show_cases(
        request, "review", person=person, cases=cases_of(person).filter(for_engineer=True)
    )


@require_safe
def case_review(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show every finding on one case, with its arithmetic and verdict."""
    person_of(request)
    case = row_or_404(lines_with_all(), key)
    return show_review(request, review_line(case))


def lines_with_all() -> QuerySet[Case]:
    """Return cases with the related rows that every page of theirs reads."""
    return Case.objects.select_related("application", "premises", "design")

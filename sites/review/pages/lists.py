"""Pages that list open findings over all sites, and review one case."""

from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from sites.cases.models import Case
from sites.house.fetching import row_or_404
from sites.people.fetching import person_of
from sites.review.pages.showing import show_review
from sites.review.reading.review import flagged_lines, review_line


@require_safe
def review_list(request: HttpRequest) -> HttpResponse:
    """List the cases with open findings over all sites, those that stop first."""
    person_of(request)
    flagged = flagged_lines()
    return render(
        request,
        "review/list.html",
        {
            "flagged": [each for each in flagged if each.decision is not None],
            "undecided": [each for each in flagged if each.decision is None],
        },
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

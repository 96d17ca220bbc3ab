"""Acts on a list of cases: chosen cases get an owner, and a person saves views."""

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from sites.cases.models import Case
from sites.cases.writing import hand_over
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import person_of
from sites.people.models import Person
from sites.review.models import SavedView
from sites.review.pages.listing import LISTS, owner_named
from sites.review.reading.case_list import ROWS, cases_of
from sites.review.writing.saved_views import delete_view, save_view


@require_POST
def cases_assign(request: HttpRequest) -> HttpResponse:
    """Give the chosen cases of a page to an owner, each by an act of its own."""
    person = person_of(request)
    chosen = _chosen(request)
    value = request.POST.get("to", "")
    if not chosen:
        messages.warning(request, "Choose at least one case, then whom it goes to.")
    elif not value:
        messages.warning(request, "Choose whom the cases go to.")
    else:
        try:
            owner = owner_named(value, person)
            others = [case for case in chosen if case.owner != owner]
            for case in others:
                hand_over(case=case, to=owner, by=person)
        except (Person.DoesNotExist, ValidationError):
            messages.warning(request, "There is no such person any more. Choose somebody else.")
        except RefusedError as refused:
            messages.warning(request, refused.message)
        else:
            whom = f"{owner} now" if owner is not None else "Nobody now"
            messages.success(
                request, f"{whom} owns {len(others)} more case{'' if len(others) == 1 else 's'}."
            )
    return _back(request)


@require_POST
def view_save(request: HttpRequest) -> HttpResponse:
    """Save what the list shows as a view of the person's own."""
    person = person_of(request)
    try:
        view = save_view(
            of=_of(request),
            name=request.POST.get("name", ""),
            asked=QueryDict(request.POST.get("asked", "")).urlencode(),
            by=person,
        )
    except RefusedError as refused:
        messages.warning(request, refused.message)
    else:
        messages.success(request, f"The view “{view.name}” is saved.")
    return _back(request)


@require_POST
def view_delete(request: HttpRequest, key: UUID) -> HttpResponse:
    """Delete a view of the person's own."""
    person = person_of(request)
    view = row_or_404(SavedView.objects.filter(person=person), key)
    delete_view(view=view, by=person)
    messages.success(request, f"The view “{view.name}” is deleted.")
    return _back(request)


def _chosen(request: HttpRequest) -> list[Case]:
    """The chosen cases that the person may see, at most those of one page."""
    keys = []
    for text in request.POST.getlist("case")[:ROWS]:
        try:
            keys.append(UUID(text))
        except ValueError:
            continue
    return list(
        cases_of(person_of(request))
        .filter(key__in=keys)
        .select_related("owner", "application")
        .order_by("pk")
    )


def _of(request: HttpRequest) -> str:
    of = request.POST.get("of", "")
    return of if of in LISTS else "work"


def _back(request: HttpRequest) -> HttpResponse:
    asked = QueryDict(request.POST.get("asked", "")).urlencode()
    return redirect(f"{reverse(LISTS[_of(request)])}?{asked or 'owner='}")

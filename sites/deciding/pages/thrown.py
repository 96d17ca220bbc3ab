"""Throws the draft of a page away, and fetches it back."""

from django.contrib import messages
from django.http import HttpRequest

from sites.people.fetching import person_of
from sites.premises.writing.drafts import fetch_back_draft, throw_away_draft


def throw_or_fetch(request: HttpRequest, page: str) -> None:
    """Throw the draft away, or fetch it back where the button with the name `back` was pressed."""
    person = person_of(request)
    if "back" not in request.POST:
        visit = request.POST.get("visit", "")[:40]
        throw_away_draft(person=person, page=page, visit=visit)
        messages.success(request, "What you typed is thrown away.")
    elif fetch_back_draft(person=person, page=page):
        messages.success(request, "What you had thrown away is back.")
    else:
        messages.error(request, "There is nothing to fetch back: a day is over, or you typed anew.")

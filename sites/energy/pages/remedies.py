"""Part of a page that shows, and has worked out, what remedies cost in energy per year."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from sites.cases.models import Case
from sites.energy.reading.remedy_years import Place, YearsOfRemedies, years_as_asked
from sites.energy.writing.remedy_years import ask_for_remedy_years
from sites.house.fetching import row_or_404
from sites.house.refusals import FactsChangedError, RefusedError
from sites.people.fetching import person_of
from sites.premises.models import Design

PART = "remedy-years"
"""Id of this part on its page."""

_ADDRESSES: dict[Place, str] = {
    "premises": "premises",
    "review": "case-review",
    "answers": "case-answers",
}


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def remedy_years(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show this part; a post starts the missing years and, without scripts, returns to the page.

    The page names itself (`of`), the remedies it shows (`mark`) and the digest behind its sentences
    (`seen`).
    """
    person = person_of(request)
    design = row_or_404(Design.objects.select_related("premises"), key)
    sent = request.POST if request.method == "POST" else request.GET
    place, seen = _place(sent), sent.get("seen", "")
    years: YearsOfRemedies | None = None
    if request.method == "POST":
        in_part = request.headers.get("HX-Request") == "true"
        try:
            ask_for_remedy_years(design=design, seen=seen, by=person)
        except RefusedError as refused:
            if not in_part:
                messages.info(request, refused.message)
            elif not isinstance(refused, FactsChangedError):
                years = YearsOfRemedies("needs", design, place, says=(refused.message,))
        if not in_part:
            return redirect(f"{_page(design, place)}#{PART}")
    if years is None:
        years = years_as_asked(design, place, sent.getlist("mark"), seen)
    return render(
        request,
        "energy/remedy_years_answer.html",
        {"years": years, "page_address": _page(design, place)},
    )


def _place(sent: QueryDict) -> Place:
    named = sent.get("of", "")
    return next((place for place in _ADDRESSES if place == named), "premises")


def _page(design: Design, place: Place) -> str:
    """Return the address of the page with the list of remedies."""
    if place != "premises":
        case = Case.objects.filter(design=design).order_by("pk").first()
        if case is not None:
            return reverse(_ADDRESSES[place], args=[case.key])
    return f"{reverse('premises', args=[design.premises.key])}?design={design.key}"

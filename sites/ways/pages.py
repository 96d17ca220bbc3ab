"""Pages of the quick look."""

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from connections.prices.earning import FINE_PRINT
from sites.house.refusals import RefusedError
from sites.people.fetching import person_of
from sites.premises.refusals import ReferenceTakenError
from sites.ways.forms import QuickLookForm
from sites.ways.reading import quick_look, ways_to_keep
from sites.ways.writing import keep_as_case

REFERENCE_CHARACTERS = 200
SWEEP = "sweep"
"""Word of the address that adds what passes under caps: it decides some hundred sites."""


@require_safe
def look(request: HttpRequest) -> HttpResponse:
    """Show every way for the answers in the address; htmx fetches the answer alone."""
    person_of(request)
    return _shown(request, request.GET)


@require_POST
def keep(request: HttpRequest) -> HttpResponse:
    """Keep the chosen way as a case under a reference of the firm."""
    person = person_of(request)
    form = QuickLookForm(request.POST)
    if not form.is_valid():
        return _shown(request, request.POST, status=422)
    reference = request.POST.get("reference", "").strip()
    fault = ""
    if not reference or len(reference) > REFERENCE_CHARACTERS or "\0" in reference:
        fault = "Give the case a reference of your own, of at most 200 characters."
    else:
        try:
            case = keep_as_case(
                ways=ways_to_keep(form.asked()),
                chosen=request.POST.get("way", ""),
                reference=reference,
                by=person,
            )
        except ReferenceTakenError:
            fault = f"There is a case {reference} already. Give another reference."
        except RefusedError as refused:
            fault = str(refused)
        else:
            return redirect("premises", case.premises.key)
    return _shown(request, request.POST, fault=fault, status=422)


def _shown(
    request: HttpRequest, typed: QueryDict, *, fault: str = "", status: int = 200
) -> HttpResponse:
    form = QuickLookForm(typed)
    return render(
        request,
        "ways/quick_look.html",
        {
            "form": form,
            "page": quick_look(form.asked(), caps=SWEEP in typed) if form.is_valid() else None,
            "sweep": _with_sweep(typed),
            "reference": typed.get("reference", ""),
            "way": typed.get("way", ""),
            "fault": fault,
            "fine_print": FINE_PRINT,
        },
        status=status,
    )


def _with_sweep(typed: QueryDict) -> str:
    """The address of the same answers with the sweep of caps."""
    kept = typed.copy()
    for name in ("csrfmiddlewaretoken", "way", "reference"):
        kept.pop(name, None)
    kept[SWEEP] = "yes"
    return kept.urlencode()

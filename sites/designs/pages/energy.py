"""Acts on the energy years of a premises: enter inputs and files, start the work, show progress."""

from urllib.parse import parse_qs, urlencode, urlsplit
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from sites.designs.pages.side_by_side import designs_page, progress_context
from sites.energy.forms.inputs import EnergyForm
from sites.energy.forms.taking import take_files
from sites.energy.models import EnergyFile
from sites.energy.reading.files import file_of
from sites.energy.reading.years import failed_years, latest_inputs, progress_of
from sites.energy.writing.files import MOST_POSTED
from sites.energy.writing.files import too_large as too_large_words
from sites.energy.writing.years import ask_for_years, enter_inputs, metered_kwh
from sites.house.fetching import row_or_404
from sites.house.pages.stored_files import stored_file
from sites.house.pages.uploading import takes_files
from sites.house.refusals import FactsChangedError, RefusedError
from sites.people.fetching import person_of
from sites.people.models import Person
from sites.premises.models import Premises


@takes_files(MOST_POSTED, too_large_words)
@require_POST
def enter_energy(request: HttpRequest, key: UUID, *, too_large: str = "") -> HttpResponse:
    """Enter the inputs of the years and start the work."""
    person = person_of(request)
    premises = row_or_404(Premises.objects.all(), key)
    if too_large:
        form = EnergyForm.typed_as(latest_inputs(premises))
        form.add_error(None, too_large)
        return designs_page(request, premises, form)
    form = EnergyForm(request.POST, request.FILES)
    form.is_valid()
    take_files(form, premises, person)
    form.look_over(metered_kwh(file_of(premises, "meter", form.kept_key("meter"))))
    if not form.is_valid():
        return designs_page(request, premises, form)
    try:
        enter_inputs(
            premises=premises,
            given=form.given(),
            seen=form.cleaned_data["seen"],
            by=person,
            sure=form.said_so(),
        )
    except FactsChangedError as refused:
        # The current inputs stand beside the form; sent again, the person's own figures win.
        form.see(latest_inputs(premises))
        form.refuse(refused)
        return designs_page(request, premises, form)
    except RefusedError as refused:
        form.refuse(refused)
        return designs_page(request, premises, form)
    _ask(request, premises, person)
    return redirect("designs", premises.key)


@require_safe
def energy_file(request: HttpRequest, key: UUID) -> HttpResponseBase:
    """Download an input file as it was uploaded."""
    person_of(request)
    found = row_or_404(EnergyFile.objects.all(), key)
    return stored_file(request, found.sha256, "text/csv; charset=utf-8", found.name)


@require_POST
def ask_energy(request: HttpRequest, key: UUID) -> HttpResponse:
    """Start the missing years of the designs on the page."""
    person = person_of(request)
    premises = row_or_404(Premises.objects.all(), key)
    _ask(request, premises, person)
    return redirect("designs", premises.key)


def _ask(request: HttpRequest, premises: Premises, person: Person) -> None:
    try:
        ask_for_years(premises=premises, by=person)
    except RefusedError as refused:
        messages.info(request, refused.message)


@never_cache
@require_safe
def energy_progress(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the progress of the years as a part of the page; it polls only while some wait.

    At the end it fetches the results in their order and keeps what is typed in the form.
    """
    person_of(request)
    premises = row_or_404(Premises.objects.all(), key)
    progress = progress_of(premises)
    context = progress_context(premises, progress)
    if progress.ended:
        context |= {"fetch": order_in_address(request), "to_do": failed_years(premises)}
    return render(request, "energy/progress.html", context)


def order_in_address(request: HttpRequest) -> str:
    """Return the query of the calling page with only its order of designs; "?" if it has none."""
    shown = urlsplit(request.headers.get("HX-Current-URL", ""))
    order = parse_qs(shown.query).get("by", [""])[0]
    return f"?{urlencode({'by': order})}" if order else "?"

"""Page that compares the designs of a premises side by side."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from msgspec import structs

from connections.documents.comparison import render_comparison
from connections.documents.plots import drawn
from connections.documents.print_error import PrintError
from connections.pack.comparison import Drawn
from sites.designs.reading.comparison import comparison_of, customers_words, plotted
from sites.designs.reading.side_by_side import SideBySide, side_by_side
from sites.energy.forms.inputs import KINDS, EnergyForm
from sites.energy.reading.files import Kind, file_of, file_shown
from sites.energy.reading.years import Progress
from sites.energy.words.entered import entered_words, use_words
from sites.energy.words.months import month_table
from sites.energy.words.plots import plots_of
from sites.house.fetching import row_or_404
from sites.house.pages.file_names import file_name
from sites.people.fetching import person_of
from sites.premises.models import Premises

LONG_S = 60
"""A year that waits this long may have no worker, or a dead one."""


@never_cache
@require_safe
def designs(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show all designs of a premises; `by` names the order."""
    person_of(request)
    return designs_page(request, row_or_404(Premises.objects.all(), key))


def designs_page(
    request: HttpRequest, premises: Premises, form: EnergyForm | None = None
) -> HttpResponse:
    """Show the page, with a refused form if there is one."""
    page = side_by_side(premises, request.GET.get("by", ""))
    to_do = sum(one.year.kind in ("not-asked", "changed", "failed") for one in page.designs)
    faults = form.faults() if form is not None else []
    boxes = form if form is not None else EnergyForm.of(page.inputs)
    return render(
        request,
        "designs/side_by_side.html",
        {
            "page": page,
            "form": boxes,
            "files": {kind: _file_beside(premises, page, boxes, kind) for kind in KINDS},
            "entered": _entered(page),
            "faults": faults,
            "to_do": to_do,
            "years": [
                {
                    "one": one,
                    "months": month_table(one.year.result),
                    "plots": [
                        {"plot": plot, "prefix": f"year-{number}-{place}"}
                        for place, plot in enumerate(plots_of(one.year.result), start=1)
                    ],
                }
                for number, one in enumerate(page.designs, start=1)
                if one.year.result is not None
            ],
            **progress_context(premises, page.progress),
        },
        status=422 if faults else 200,
    )


def _entered(page: SideBySide) -> tuple[str, ...]:
    """What the energy years rest on, and whether the use holds the loads; empty without inputs."""
    if page.inputs is None:
        return ()
    sites = [one.site for one in page.designs if one.site is not None]
    return (*entered_words(page.inputs), *use_words(page.inputs, sites))


def _file_beside(
    premises: Premises, page: SideBySide, form: EnergyForm, kind: Kind
) -> dict[str, object] | None:
    """Return the file of a form, and whether years rest on it or it was only uploaded."""
    inputs = page.inputs
    in_use = None
    if inputs is not None:
        in_use = inputs.meter_file if kind == "meter" else inputs.irradiance_file
    key = form.shown_key(kind)
    file = in_use if in_use is not None and str(in_use.key) == key else None
    if file is None:
        file = file_of(premises, kind, key)
    if file is None:
        return None
    return {
        "shown": file_shown(file, form.picked_region()),
        "in_use": in_use is not None and file.sha256 == in_use.sha256,
    }


def progress_context(premises: Premises, progress: Progress) -> dict[str, object]:
    """Return the progress of the years, for the part of the page that polls."""
    since = progress.since
    waited = (timezone.now() - since).total_seconds() if since is not None else 0
    return {"premises": premises, "progress": progress, "long": waited > LONG_S}


@never_cache
@require_safe
def designs_print(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the customer's page of the comparison as a PDF."""
    person_of(request)
    premises = row_or_404(Premises.objects.all(), key)
    page = side_by_side(premises, request.GET.get("by", ""))
    comparison = comparison_of(page, printed_plots(page))
    if not comparison.designs:
        messages.error(request, "No design can be decided yet, so there is nothing to compare.")
        return redirect("designs", premises.key)
    try:
        content = render_comparison(comparison)
    except PrintError as fault:
        messages.error(request, str(fault))
        return redirect("designs", premises.key)
    answer = HttpResponse(content, content_type="application/pdf")
    name = file_name(premises.reference, "your designs", "pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


def printed_plots(page: SideBySide) -> tuple[Drawn, ...]:
    """Return the customer's plots of one design: the proposal, or else the first with a year."""
    one = plotted(page)
    if one is None or one.year.result is None:
        return ()
    return tuple(
        drawn(
            structs.replace(plot, description=customers_words(plot.description)),
            f"plot-{number}",
        )
        for number, plot in enumerate(plots_of(one.year.result), start=1)
    )

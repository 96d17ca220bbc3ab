"""Page of a design's sweep: the yearly cost of each export limit."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from connections.energy.from_site import VOLTS
from connections.energy.limits_asked import highest_proposed_w
from connections.rules.figures import kilowatts
from sites.designs.writing.designs import free_name
from sites.designs.writing.limited import design_with_limit
from sites.energy.forms.limits import LimitsForm
from sites.energy.reading.limit_sweeps import SweepState, sweep_state
from sites.energy.words.limits import limit_plot, limit_rows, limit_words, sentences
from sites.energy.writing.limit_sweeps import ask_for_limits, ask_for_limits_again, stop_limits
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import person_of
from sites.premises.models import Design
from sites.premises.refusals import NameTakenError

LONG_S = 60
"""A sweep that waits this long without a result may have no worker, or a dead one."""


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def design_limits(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the limits tried, with boxes for others; a post starts the work."""
    person = person_of(request)
    design = _design(key)
    if request.method != "POST":
        return _page(request, design)
    form = LimitsForm(request.POST, auto_id="limits-%s")
    if form.is_valid():
        try:
            ask_for_limits(design=design, limits_w=form.cleaned_data["limits_w"], by=person)
        except RefusedError as refused:
            form.add_error(None, refused.message)
        else:
            return redirect("design-limits", design.key)
    return _page(request, design, form)


def _page(request: HttpRequest, design: Design, form: LimitsForm | None = None) -> HttpResponse:
    state = sweep_state(design)
    faults = form.faults() if form is not None else []
    own_w = state.year.plant.export_limit_w if state.year is not None else None
    own_kw = None if own_w is None else own_w / 1000
    cap_kw = None if state.cap_w is None else state.cap_w / 1000
    shown = () if state.waits else state.found
    return render(
        request,
        "designs/limits.html",
        {
            "form": form if form is not None else LimitsForm.of(state),
            "faults": faults,
            "own": "" if own_kw is None else limit_words(own_kw),
            "proposed": (
                kilowatts(highest_proposed_w(state.year.plant))
                if state.year is not None and state.asked is None
                else ""
            ),
            "rows": limit_rows(shown, own_kw, state.phases, cap_kw),
            "sentences": sentences(shown, own_kw, cap_kw),
            "plot": limit_plot(shown, own_kw, cap_kw),
            "volts": VOLTS,
            "choices": [
                (limit_w, limit_words(limit_w / 1000))
                for limit_w in (state.asked.limits_w if shown and state.asked else ())
                if any(each.limit_kw == limit_w / 1000 != own_kw for each in shown)
            ],
            **_progress(design, state),
        },
        status=422 if faults else 200,
    )


@never_cache
@require_safe
def limits_progress(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the progress of the sweep as a part of the page; it polls only while the worker goes on.

    At the end it fetches the results and keeps what is typed in the form.
    """
    person_of(request)
    design = _design(key)
    state = sweep_state(design)
    context = {**_progress(design, state), "fetch": not state.waits}
    return render(request, "designs/limits_progress.html", context)


@require_POST
def limits_stop(request: HttpRequest, key: UUID) -> HttpResponse:
    """Stop the sweep; keep what was found."""
    person = person_of(request)
    design = _design(key)
    try:
        stop_limits(design=design, by=person)
    except RefusedError as refused:
        messages.info(request, refused.message)
    return redirect("design-limits", design.key)


@require_POST
def limits_again(request: HttpRequest, key: UUID) -> HttpResponse:
    """Continue the last sweep, or repeat it for the changed design."""
    person = person_of(request)
    design = _design(key)
    try:
        ask_for_limits_again(design=design, by=person)
    except RefusedError as refused:
        messages.info(request, refused.message)
    return redirect("design-limits", design.key)


@require_POST
def limits_design(request: HttpRequest, key: UUID) -> HttpResponse:
    """Copy the design with one of the limits tried, and open the sheet of the copy."""
    person = person_of(request)
    design = _design(key)
    asked = sweep_state(design).asked
    wanted = request.POST.get("limit_w", "")
    limit_w = next((w for w in asked.limits_w if str(w) == wanted), None) if asked else None
    if limit_w is None:
        messages.error(request, "Choose one of the limits that were tried.")
        return redirect("design-limits", design.key)
    name = f"Limited to {limit_words(limit_w / 1000)}"
    if design.premises.designs.filter(name__iexact=name).exists():
        name = free_name(design.premises)
    try:
        made = design_with_limit(design=design, limit_w=limit_w, name=name, by=person)
    except (RefusedError, NameTakenError) as fault:
        messages.error(request, str(fault))
        return redirect("design-limits", design.key)
    messages.success(
        request,
        f"{made.name} is this design with that export limit; say under “Limitation scheme” what is "
        "known of the scheme that holds it.",
    )
    return redirect("design-sheet", made.key)


def _design(key: UUID) -> Design:
    return row_or_404(Design.objects.select_related("premises"), key)


def _progress(design: Design, state: SweepState) -> dict[str, object]:
    waited = (timezone.now() - state.since).total_seconds() if state.since is not None else 0
    return {
        "design": design,
        "state": state,
        "done": len(state.found),
        "long": state.waits and waited > LONG_S,
    }

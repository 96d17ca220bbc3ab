"""Pages of what designs cost: all of a premises, the lines of one, and the choice."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from connections.prices.costing import money_words
from connections.prices.earning import FINE_PRINT, LEFT_OUT
from sites.designs.reading.costs import costs_of, reasons
from sites.designs.reading.side_by_side import Compared, side_by_side
from sites.designs.writing.designs import choose_design
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import person_of
from sites.premises.models import Design, Premises
from sites.prices.forms import BasisForm, ChoiceForm
from sites.prices.reading import price_list
from sites.prices.words import (
    choice_words,
    cost_words,
    difference_words,
    line_rows,
    mover_words,
    vat_rows,
    year_words,
)
from sites.prices.writing import enter_basis


@never_cache
@require_safe
def costs(request: HttpRequest, key: UUID) -> HttpResponse:
    """What each design costs, and when a dearer one earns that back."""
    person_of(request)
    return _costs(request, row_or_404(Premises.objects.all(), key))


@require_POST
def choice(request: HttpRequest, key: UUID) -> HttpResponse:
    """Record which design is chosen, by whom, when and why."""
    person = person_of(request)
    premises = row_or_404(Premises.objects.all(), key)
    designs = {str(each.key): each for each in premises.designs.all()}
    form = ChoiceForm([(key, each.name) for key, each in designs.items()], data=request.POST)
    if not form.is_valid():
        return _costs(request, premises, form)
    typed = form.cleaned_data
    choose_design(
        design=designs[typed["design"]],
        by=person,
        by_whom=typed["by_whom"] or "customer",
        on=typed["on"],
        why=typed["why"].strip(),
    )
    messages.success(request, "The choice is recorded, with its cost of today.")
    return redirect("costs", premises.key)


def _costs(
    request: HttpRequest, premises: Premises, form: ChoiceForm | None = None
) -> HttpResponse:
    page = side_by_side(premises)
    found = costs_of(page)
    proposal = next((one for one in page.designs if one.design.is_proposal), None)
    faults = form.faults() if form is not None else []
    if form is None:
        form = ChoiceForm(
            [(str(one.design.key), one.name) for one in page.designs],
            str(proposal.design.key) if proposal is not None else "",
        )
    return render(
        request,
        "designs/costs.html",
        {
            "page": page,
            "rows": [_row(one) for one in page.designs],
            "differences": [
                {
                    "words": difference_words(each),
                    "movers": [mover_words(moved) for moved in each.movers],
                }
                for each in found.differences.values()
            ],
            "cheapest": found.cheapest,
            "reasons": reasons(proposal, page) if proposal is not None else (),
            "proposal": proposal,
            "choice": choice_words(page.choice) if page.choice is not None else "",
            "form": form,
            "faults": faults,
            "fine_print": FINE_PRINT,
            "left_out": LEFT_OUT,
        },
        status=422 if faults else 200,
    )


def _row(one: Compared) -> dict[str, object]:
    return {
        "one": one,
        "cost": cost_words(one.cost) if one.cost is not None else (),
        "year": year_words(one.money) if one.money is not None else "",
    }


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def design_cost(request: HttpRequest, key: UUID) -> HttpResponse:
    """The lines of a design's cost, with boxes for what no fact counts and a scheme's figures."""
    person = person_of(request)
    design = row_or_404(Design.objects.select_related("premises"), key)
    page = side_by_side(design.premises)
    one = next(each for each in page.designs if each.design.pk == design.pk)
    form = BasisForm(price_list(), one.basis, request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        typed = form.cleaned_data
        try:
            enter_basis(
                design=design,
                amounts=form.amounts(),
                method=typed["method"],
                made_kwh=typed["made_kwh"],
                used_kwh=typed["used_kwh"],
                saves_minor=typed["saves_minor"],
                by=person,
            )
        except RefusedError as refused:
            form.refuse(refused.message, refused.field)
        else:
            return redirect("design-cost", design.key)
    faults = form.faults() if form.is_bound else []
    cost = one.cost
    return render(
        request,
        "designs/cost.html",
        {
            "one": one,
            "premises": design.premises,
            "lines": line_rows(cost) if cost is not None else [],
            "net": money_words(cost.net_minor) if cost is not None else "",
            "vat": vat_rows(cost) if cost is not None else [],
            "total": cost_words(cost)[0] if cost is not None else "",
            "not_counted": cost.not_counted if cost is not None else (),
            "form": form,
            "faults": faults,
        },
        status=422 if faults else 200,
    )

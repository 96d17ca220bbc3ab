"""The firm's equipment catalogue: the list, the boxes of a model, and taking one out."""

from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models.functions import Lower
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from connections.rules.figures import kilowatts
from sites.catalogue.forms import EquipmentForm, choice_words, form_of, form_of_row, in_words
from sites.catalogue.models import Equipment
from sites.catalogue.refusals import ModelChangedError, ModelTakenError
from sites.catalogue.writing import add_equipment, change_equipment, mark_of, take_out_equipment
from sites.house.boxes.choices import SUGGESTIONS
from sites.house.fetching import row_or_404
from sites.people.fetching import person_of

ROWS = 50
_BOTH = require_http_methods(["GET", "HEAD", "POST"])


@never_cache
@require_safe
def equipment(request: HttpRequest) -> HttpResponse:
    """Every model, by maker and name."""
    person_of(request)
    models = Equipment.objects.order_by(Lower("maker"), Lower("model"), "pk")
    page = Paginator(models, ROWS).get_page(request.GET.get("page"))
    return render(
        request,
        "catalogue/list.html",
        {"page": page, "rows": [_listed(row) for row in page.object_list]},
    )


def _listed(row: Equipment) -> dict[str, object]:
    tested = choice_words("type_tested", row.type_tested)
    return {
        "row": row,
        "source": choice_words("source", row.source),
        "rated": kilowatts(row.rated_w),
        "phases": choice_words("phases", row.phases),
        "tested": tested or "not known",
    }


@never_cache
@_BOTH
def equipment_new(request: HttpRequest) -> HttpResponse:
    """Form of a new model; a valid post adds it."""
    person = person_of(request)
    if request.method != "POST":
        return _boxes(request, form_of(None))
    form = form_of(request.POST)
    if form.is_valid():
        try:
            made = add_equipment(wanted=form.equipment(), by=person)
        except ModelTakenError:
            form.refuse_taken()
        else:
            messages.success(request, f"{made} is in the catalogue.")
            return redirect("equipment")
    return _boxes(request, form)


@never_cache
@_BOTH
def equipment_one(request: HttpRequest, key: UUID) -> HttpResponse:
    """Form of a model; a valid post changes it."""
    person = person_of(request)
    row = row_or_404(Equipment.objects.all(), key)
    if request.method != "POST":
        return _boxes(request, form_of_row(row), row)
    form = form_of(request.POST)
    if form.is_valid():
        try:
            made = change_equipment(
                row=row, wanted=form.equipment(), seen=request.POST.get("seen", ""), by=person
            )
        except ModelTakenError:
            form.refuse_taken()
        except ModelChangedError:
            return _boxes(request, form, row_or_404(Equipment.objects.all(), key), stale=True)
        else:
            messages.success(request, f"{made} is saved.")
            return redirect("equipment")
    return _boxes(request, form, row, seen=request.POST.get("seen", ""))


def _boxes(
    request: HttpRequest,
    form: EquipmentForm,
    row: Equipment | None = None,
    *,
    stale: bool = False,
    seen: str | None = None,
) -> HttpResponse:
    """The page of a model, with the faults of posted boxes.

    If it is stale, the stored values stand beside the boxes, and posting again overrides them.
    """
    faults = list(form.faults()) if request.method == "POST" else []
    form.shows = "all" if faults else "nothing"
    mark = "" if row is None else mark_of(row)
    return render(
        request,
        "catalogue/one.html",
        {
            "form": form,
            "row": row,
            "faults": faults,
            "stale": _differences(form, row) if stale and row is not None else None,
            "seen": mark if seen is None else seen,
            "standards": SUGGESTIONS["standards"],
        },
        status=422 if faults or stale else 200,
    )


def _differences(form: EquipmentForm, row: Equipment) -> list[tuple[str, str, str]]:
    """Stored and typed values of the boxes that differ."""
    kept, typed = in_words(row), in_words(form.equipment())
    return [
        (label, said or "not known", typed[name][1] or "not known")
        for name, (label, said) in kept.items()
        if said != typed[name][1]
    ]


@never_cache
@_BOTH
def equipment_take_out(request: HttpRequest, key: UUID) -> HttpResponse:
    """Ask whether to take a model out; a post does so."""
    person = person_of(request)
    row = row_or_404(Equipment.objects.all(), key)
    changed = False
    if request.method == "POST":
        try:
            take_out_equipment(row=row, seen=request.POST.get("seen", ""), by=person)
        except ModelChangedError:
            row, changed = row_or_404(Equipment.objects.all(), key), True
        else:
            messages.success(request, f"{row} is taken out of the catalogue.")
            return redirect("equipment")
    facts = [(label, said) for label, said in in_words(row).values() if said]
    return render(
        request,
        "catalogue/take_out.html",
        {"row": row, "facts": facts, "seen": mark_of(row), "changed": changed},
        status=422 if changed else 200,
    )

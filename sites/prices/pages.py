"""The firm's price list: prices and rates of VAT, new ones, and ending them."""

from collections.abc import Callable
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from connections.prices.costing import money_words
from connections.prices.price_list import KINDS, WORDS
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import person_of
from sites.people.models import Person
from sites.premises.reading.site_rows import today
from sites.prices.forms import VAT_WORDS, EndForm, PriceForm, VatForm, amount_text, size_words
from sites.prices.models import Price, VatRate
from sites.prices.reading import in_force
from sites.prices.writing import end_row, enter_price, enter_vat, may_price

_BOTH = require_http_methods(["GET", "HEAD", "POST"])


def _pricing(request: HttpRequest) -> Person:
    person = person_of(request)
    if not may_price(person):
        raise PermissionDenied("Only the office or a manager may change prices.")
    return person


@never_cache
@require_safe
def prices(request: HttpRequest) -> HttpResponse:
    """The price list of today, and what holds no more or not yet."""
    person = person_of(request)
    now = in_force(today())
    order: dict[str, int] = {kind: place for place, kind in enumerate(KINDS)}
    rows = sorted(
        Price.objects.select_related("entered_by"),
        key=lambda row: (order[row.kind], row.size or 0, row.label, row.starts),
    )
    held = set(Price.objects.filter(now).values_list("pk", flat=True))
    rates = list(VatRate.objects.select_related("entered_by").order_by("vat", "starts"))
    held_rates = set(VatRate.objects.filter(now).values_list("pk", flat=True))
    return render(
        request,
        "prices/list.html",
        {
            "rows": [_listed(row) for row in rows if row.pk in held],
            "others": [_listed(row) for row in rows if row.pk not in held],
            "rates": [_rate(row) for row in rates if row.pk in held_rates],
            "other_rates": [_rate(row) for row in rates if row.pk not in held_rates],
            "may": may_price(person),
        },
    )


def _listed(row: Price) -> dict[str, object]:
    words = next(each for kind, each in WORDS.items() if kind == row.kind)
    device = f"{row.maker} {row.model}".strip()
    size = size_words(row.kind, row.size)
    return {
        "row": row,
        "kind": words.name,
        "for": device or (f"of {size}" if row.kind == "panel" else f"up to {size}" if size else ""),
        "price": money_words(row.minor, row.currency),
        "each": words.each,
        "vat": VAT_WORDS[row.vat],
        "usual": "" if words.counted else amount_text(row.usual),
    }


def _rate(row: VatRate) -> dict[str, object]:
    return {"row": row, "vat": VAT_WORDS[row.vat], "rate": f"{amount_text(row.rate)} %"}


@never_cache
@_BOTH
def price_new(request: HttpRequest) -> HttpResponse:
    """Form of a price; `like` names one to begin from, which then ends."""
    person = _pricing(request)
    if request.method != "POST":
        like = request.GET.get("like", "")
        found = None
        if like:
            try:
                found = row_or_404(Price.objects.all(), UUID(like))
            except ValueError:
                found = None
        return _shown(request, "A price", PriceForm(like=found))
    form = PriceForm(request.POST)
    return _entered(
        request, "A price", form, lambda: str(enter_price(wanted=form.price(), by=person))
    )


@never_cache
@_BOTH
def vat_new(request: HttpRequest) -> HttpResponse:
    """Form of a rate of VAT."""
    person = _pricing(request)
    title = "A rate of VAT"
    if request.method != "POST":
        return _shown(request, title, VatForm())
    form = VatForm(request.POST)
    return _entered(request, title, form, lambda: str(enter_vat(wanted=form.rate_row(), by=person)))


@never_cache
@_BOTH
def price_end(request: HttpRequest, key: UUID) -> HttpResponse:
    """Form of the last day of a price."""
    person = _pricing(request)
    return _end(request, row_or_404(Price.objects.all(), key), person)


@never_cache
@_BOTH
def vat_end(request: HttpRequest, key: UUID) -> HttpResponse:
    """Form of the last day of a rate of VAT."""
    person = _pricing(request)
    return _end(request, row_or_404(VatRate.objects.all(), key), person)


def _end(request: HttpRequest, row: Price | VatRate, person: Person) -> HttpResponse:
    title = f"End: {row}"
    if request.method != "POST":
        return _shown(request, title, EndForm())
    form = EndForm(request.POST)

    def act() -> str:
        end_row(row=row, last_day=form.cleaned_data["last_day"], by=person)
        return str(row)

    return _entered(request, title, form, act)


def _entered(
    request: HttpRequest,
    title: str,
    form: PriceForm | VatForm | EndForm,
    act: Callable[[], str],
) -> HttpResponse:
    """Do what was typed; a refusal stands at its box and nothing typed is lost."""
    if form.is_valid():
        try:
            said = act()
        except RefusedError as refused:
            form.refuse(refused.message, refused.field)
        else:
            messages.success(request, f"{said}: kept.")
            return redirect("prices")
    return _shown(request, title, form)


def _shown(request: HttpRequest, title: str, form: PriceForm | VatForm | EndForm) -> HttpResponse:
    faults = form.faults() if form.is_bound else []
    return render(
        request,
        "prices/form.html",
        {"title": title, "form": form, "faults": faults},
        status=422 if faults else 200,
    )

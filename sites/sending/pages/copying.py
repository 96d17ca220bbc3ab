"""The copy sheet of a case, and the order of an operator's own form."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from connections.pack.pack_error import PackError
from connections.rulebook.load import load_books
from sites.cases.models import Case
from sites.house.boxes.fault_summary import Fault
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.packs.models import FrozenPack
from sites.people.fetching import person_of
from sites.sending.reading.copying import copy_sheet, item_choices
from sites.sending.reading.operators import operator_of, operator_words
from sites.sending.writing.copying import enter_form, tick


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def case_copy(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the values of a case's issued pack one by one, and keep which of them are copied."""
    person = person_of(request)
    case = row_or_404(Case.objects.select_related("application", "premises"), key)
    packs = FrozenPack.objects.filter(application=case.application)
    frozen = packs.select_related("personal", "rulebook").order_by("-revision").first()
    item = str(request.POST.get("item", ""))
    if request.method == "POST" and frozen is not None and item:
        tick(pack=frozen, item=item, done=request.POST.get("done") == "1", who=person)
        if request.headers.get("HX-Request") != "true":
            return redirect("case-copy", key)
    sheet, fault = None, ""
    if frozen is None:
        fault = "No pack is issued yet. An engineer issues it first."
    elif frozen.personal_id is None:
        fault = "The customer was erased from this pack; there is nothing to copy."
    else:
        try:
            sheet = copy_sheet(frozen)
        except PackError as wrong:
            fault = f"The stored content can’t be trusted: {wrong.message}."
    part = request.headers.get("HX-Request") == "true" and sheet is not None
    template = "sending/copying.html" if part else "sending/copy.html"
    context = {
        "case": case,
        "sheet": sheet,
        "fault": fault,
        "operator_says": operator_words(sheet.operator) if sheet is not None else "",
    }
    return render(request, template, context)


@require_http_methods(["GET", "HEAD", "POST"])
def operator_form(request: HttpRequest, operator: str) -> HttpResponse:
    """Show and change the numbers under which an operator's form asks for our data items."""
    person = person_of(request)
    if operator not in {operator_of(area.id) for area in load_books().areas}:
        raise Http404
    choices, faults = item_choices(operator), []
    typed: dict[str, str] = {}
    if request.method == "POST":
        typed = {each.item: request.POST.get(each.item, "") for each in choices}
        try:
            enter_form(operator=operator, numbers=typed, by=person)
        except RefusedError as refused:
            label = next(each.label for each in choices if each.item == refused.field)
            faults = [Fault(f"n-{refused.field}", label, refused.message)]
        else:
            messages.success(request, "The order of the form is kept; copy sheets follow it.")
            return redirect("operator-form", operator)
    context = {
        "operator": operator,
        "operator_says": operator_words(operator),
        "choices": [
            (
                each,
                typed.get(each.item, each.numbers),
                [f for f in faults if f.target == f"n-{each.item}"],
            )
            for each in choices
        ],
        "faults": faults,
    }
    return render(request, "sending/form.html", context, status=422 if faults else 200)

"""Acts on a case from the page of its premises: moves by hand, owner, archive, commissioning."""

from collections.abc import Callable
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from sites.cases.models import Case
from sites.cases.moves import ACTS, STATES
from sites.cases.writing import archive, begin_second, fetch_back, hand_over, move
from sites.desk.forms import CommissionedForm, MoveForm, OwnerForm
from sites.house.boxes.fault_summary import faults_of
from sites.house.fetching import row_or_404
from sites.house.refusals import NotAllowedError, RefusedError
from sites.people.fetching import person_of
from sites.premises.models import Unit
from sites.premises.writing.commissioning import commission


@never_cache
@require_POST
def case_move(request: HttpRequest, key: UUID) -> HttpResponse:
    """Move a case by hand; a refusal comes back with what was typed."""
    person, case = person_of(request), _case(key)
    name = str(request.POST.get("act", ""))
    form = MoveForm(request.POST, name=name, auto_id="move-%s")
    status = 422
    if form.is_valid():
        try:
            made = move(
                case=case,
                act=name,
                by=person,
                reason=form.cleaned_data.get("reason", ""),
                on=form.cleaned_data.get("on"),
                seen=form.cleaned_data["seen"],
            )
        except NotAllowedError as refused:
            form.add_error(None, refused.message)
            status = 403
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
            case.refresh_from_db()
        else:
            messages.success(request, f"The case is “{STATES[made.to_state].says}” now.")
            return redirect("premises", case.premises.key)
    context = {
        "case": case,
        "form": form,
        "faults": faults_of(form),
        "says": ACTS[name].says if name in ACTS else "Move the case",
        "state": STATES[case.state].says,
    }
    return render(request, "desk/move.html", context, status=status)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def case_commissioned(request: HttpRequest, key: UUID) -> HttpResponse:
    """Enter dates, serial numbers and the declaration once the plant runs."""
    person, case = person_of(request), _case(key)
    units = Unit.objects.filter(design=case.design).order_by("place", "pk")
    posted = request.POST if request.method == "POST" else None
    form = CommissionedForm(
        posted, units=units, initial={"seen": case.move_number}, auto_id="done-%s"
    )
    if posted is not None and form.is_valid():
        try:
            commission(
                case=case,
                installed=form.installed,
                declared=form.declared,
                seen=form.cleaned_data["seen"],
                by=person,
            )
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            messages.success(request, "The commissioning is entered.")
            return redirect("premises", case.premises.key)
    faults = form.faults() if posted is not None else []
    return render(
        request,
        "desk/commissioned.html",
        {"case": case, "form": form, "faults": faults},
        status=422 if faults else 200,
    )


@require_POST
def case_owner(request: HttpRequest, key: UUID) -> HttpResponse:
    """Hand a case over."""
    person, case = person_of(request), _case(key)
    form = OwnerForm(request.POST)
    if form.is_valid():
        to = form.cleaned_data["owner"]
        if _done(request, lambda: hand_over(case=case, to=to, by=person)):
            messages.success(request, f"The case belongs to {to or 'nobody'} now.")
    else:
        messages.error(request, "Choose somebody who works here; nothing was handed over.")
    return redirect("premises", case.premises.key)


@require_POST
def case_archive(request: HttpRequest, key: UUID) -> HttpResponse:
    """Archive a case, or fetch it back where it is archived."""
    person, case = person_of(request), _case(key)
    if case.archived_at is None:
        if _done(request, lambda: archive(case=case, by=person)):
            messages.success(request, "The case is archived. It can be fetched back here.")
    elif _done(request, lambda: fetch_back(case=case, by=person)):
        messages.success(request, "The case is fetched back.")
    return redirect("premises", case.premises.key)


@require_POST
def case_again(request: HttpRequest, key: UUID) -> HttpResponse:
    """Begin another case of the premises."""
    person, case = person_of(request), _case(key)
    if _done(request, lambda: begin_second(case=case, by=person)):
        messages.success(request, "Another case of this premises is begun.")
    return redirect("premises", case.premises.key)


def _case(key: UUID) -> Case:
    return row_or_404(Case.objects.select_related("application", "premises", "design"), key)


def _done(request: HttpRequest, act: Callable[[], object]) -> bool:
    """Do an act; tell a refusal as a message."""
    try:
        act()
    except RefusedError as refused:
        messages.error(request, refused.message)
        return False
    return True

"""Which installer has a case, and handing all cases of a person over."""

from uuid import UUID

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from sites.cases.forms import HandOverForm, InstallerForm
from sites.cases.models import Case
from sites.cases.writing import give_case, hand_over_all
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import manager_of, person_of
from sites.people.models import Person
from sites.people.pages.boxes import add_fault, faults_of


@require_http_methods(["GET", "HEAD", "POST"])
def case_installer(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show and change which installer a case is given to."""
    person = person_of(request)
    case = row_or_404(Case.objects.select_related("premises", "application"), key)
    form = InstallerForm(request.POST if request.method == "POST" else None, case=case)
    if form.is_valid():
        to = form.cleaned_data["installer"]
        try:
            give_case(case=case, to=to, by=person)
        except RefusedError as fault:
            add_fault(form, fault.field, fault.message)
        else:
            messages.success(request, f"The case is given to {to or 'nobody'} now.")
            return redirect("premises", case.premises.key)
    context = {"form": form, "case": case, "faults": faults_of(form) if form.is_bound else []}
    return render(request, "cases/installer.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def person_hand_over(request: HttpRequest, key: UUID) -> HttpResponse:
    """Hand all cases of a person over to another."""
    manager, person = manager_of(request), row_or_404(Person.objects.all(), key)
    form = HandOverForm(request.POST if request.method == "POST" else None, of=person)
    if form.is_valid():
        to = form.cleaned_data["to"]
        try:
            count = hand_over_all(of=person, to=to, by=manager)
        except RefusedError as fault:
            add_fault(form, fault.field, fault.message)
        else:
            messages.success(request, f"{to} has the cases of {person} now: {count}.")
            return redirect("person", person.key)
    context = {
        "form": form,
        "person": person,
        "count": Case.objects.filter(Q(owner=person) | Q(installer=person)).count(),
        "faults": faults_of(form) if form.is_bound else [],
    }
    return render(request, "cases/hand_over.html", context, status=422 if form.errors else 200)

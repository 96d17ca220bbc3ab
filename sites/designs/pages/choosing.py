"""Copies a design, and chooses the proposed one."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from sites.designs.writing import from_remedy as services
from sites.designs.writing.designs import choose_design, copy_design, free_name
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.people.fetching import person_of
from sites.premises.models import Design
from sites.premises.refusals import NameTakenError

LONGEST_NAME = 200


@require_POST
def design_copy(request: HttpRequest, key: UUID) -> HttpResponse:
    """Copy a design and open the sheet of the copy."""
    person = person_of(request)
    design = row_or_404(Design.objects.select_related("premises"), key)
    name = " ".join(request.POST.get("name", "").replace("\x00", "").split())
    if len(name) > LONGEST_NAME:
        messages.error(request, f"Shorten the name to {LONGEST_NAME} characters.")
        return redirect("premises", design.premises.key)
    try:
        copy = copy_design(design=design, name=name or free_name(design.premises), by=person)
    except NameTakenError as fault:
        messages.error(request, str(fault))
        return redirect("premises", design.premises.key)
    messages.success(request, f"{copy.name} is a copy; change it here.")
    return redirect("design-sheet", copy.key)


@require_POST
def design_from_remedy(request: HttpRequest, key: UUID) -> HttpResponse:
    """Copy a design and apply one of its remedies."""
    person = person_of(request)
    design = row_or_404(Design.objects.select_related("premises"), key)
    try:
        made = services.design_from_remedy(
            design=design,
            mark=request.POST.get("remedy", ""),
            by=person,
        )
    except (RefusedError, NameTakenError) as fault:
        messages.error(request, str(fault))
        return redirect(f"{reverse('premises', args=[design.premises.key])}?design={design.key}")
    design.refresh_from_db()  # copying names a first design that had no name
    messages.success(request, f"Made from {design.name}: {made.name}.")
    return redirect(f"{reverse('premises', args=[design.premises.key])}?design={made.key}")


@require_POST
def design_choose(request: HttpRequest, key: UUID) -> HttpResponse:
    """Make this design the proposal."""
    person = person_of(request)
    design = row_or_404(Design.objects.select_related("premises"), key)
    choose_design(design=design, by=person)
    messages.success(request, f"{design.name or 'This design'} is proposed now.")
    return redirect("premises", design.premises.key)

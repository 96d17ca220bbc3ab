"""Page that erases a customer from an application's packs, after a confirmation."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.packs.forms import EraseForm
from sites.packs.models import FrozenPack
from sites.packs.writing.erasing import erase_personal_parts
from sites.people.fetching import engineer_of


@require_http_methods(["GET", "HEAD", "POST"])
def erase(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show what erasing removes and leaves; a confirmed post erases."""
    person = engineer_of(request)
    frozen = row_or_404(FrozenPack.objects.select_related("application"), key)
    form = EraseForm(
        request.POST if request.method == "POST" else None,
        wanted=frozen.reference,
        auto_id="erase-%s",
    )
    if request.method == "POST" and form.is_valid():
        try:
            erased = erase_personal_parts(application=frozen.application, by=person)
        except RefusedError as refused:
            messages.info(request, refused.message)
        else:
            said = "1 revision" if erased == 1 else f"{erased} revisions"
            messages.success(request, f"The personal part of {said} is erased, with what was sent.")
        return redirect("pack", key)
    faults = form.faults() if form.is_bound else []
    packs = FrozenPack.objects.filter(application=frozen.application, personal__isnull=False)
    return render(
        request,
        "packs/erase.html",
        {"frozen": frozen, "form": form, "faults": faults, "revisions": packs.count()},
        status=422 if faults else 200,
    )

"""Downloads a design with its premises as a site file."""

import re
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from connections.facts.reading import write_site
from connections.facts.site_file_error import SiteFileError
from sites.house.fetching import row_or_404
from sites.people.fetching import person_of
from sites.premises.models import Design
from sites.premises.reading.site_rows import rows_for, site_from


@never_cache
@require_safe
def design_site_file(request: HttpRequest, key: UUID) -> HttpResponse:
    """Download the facts of a design with its premises as a site file, for any program."""
    person_of(request)
    design = row_or_404(Design.objects.select_related("premises"), key)
    try:
        content = write_site(site_from(rows_for(design.premises, design)))
    except SiteFileError as fault:
        messages.error(request, f"There is no site file of this yet. {fault}.")
        return redirect("premises", design.premises.key)
    answer = HttpResponse(content, content_type="application/json")
    answer["Content-Disposition"] = f'attachment; filename="{file_name(design)}"'
    return answer


def file_name(design: Design) -> str:
    """Return a file name of reference and design, safe to use in a path."""
    words = " ".join((design.premises.reference, design.name))
    return (re.sub(r"[^A-Za-z0-9_-]+", "-", words).strip("-")[:80] or "site") + ".json"

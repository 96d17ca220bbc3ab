"""Help inside the program."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from sites.house.reading.help import NAMES, help_page, titles


@require_safe
def help_first(_request: HttpRequest) -> HttpResponse:
    """Lead to the first page."""
    return redirect("help-page", NAMES[0])


@require_safe
def help_shown(request: HttpRequest, name: str) -> HttpResponse:
    """Show one page, and the way to the others."""
    page = help_page(name)
    if page is None:
        raise Http404("There is no such page.")
    return render(request, "house/help.html", {"page": page, "titles": titles()})

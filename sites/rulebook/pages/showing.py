"""The pages of the rulebook, to be read: what holds, its values, its table, steps and settings."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from connections.pack.figures import quantity
from sites.people.fetching import person_of
from sites.rulebook.pages.choosing import show
from sites.rulebook.reading.coverage import coverage, in_force, sources
from sites.rulebook.reading.place import Chosen, shelf
from sites.rulebook.reading.steps import settings_page, steps_page
from sites.rulebook.reading.table import drawn_table
from sites.rulebook.reading.value import value_page
from sites.rulebook.reading.values import SHOWS, value_list


@require_safe
def rulebook(request: HttpRequest) -> HttpResponse:
    """What holds in a place on a day, and what is covered and what isn't."""
    return show(
        request,
        "rulebook/index.html",
        lambda chosen: {
            "holds": in_force(chosen),
            "coverage": coverage(chosen.shelf, chosen.on),
        },
    )


@require_safe
def values(request: HttpRequest) -> HttpResponse:
    """Every value; `q` looks for words, `show` keeps one certainty or the unsure ones."""
    words = request.GET.get("q", "").strip()[:200]
    kept = request.GET.get("show", "")
    kept = kept if kept in SHOWS else ""
    return show(
        request,
        "rulebook/values.html",
        lambda chosen: {"list": value_list(chosen, words, kept)},
        words=words,
        show=kept,
        shows=SHOWS,
    )


@require_safe
def value(request: HttpRequest, key: str) -> HttpResponse:
    """One value with its history, its layers and its uses."""

    def context_of(chosen: Chosen) -> dict[str, object]:
        found = value_page(chosen, key)
        if found is None:
            raise Http404("There is no such value.")
        return {"page": found}

    return show(request, "rulebook/value.html", context_of, key=key)


@require_safe
def table(request: HttpRequest) -> HttpResponse:
    """The decision table, drawn."""
    return show(
        request,
        "rulebook/table.html",
        lambda chosen: {
            "table": drawn_table(chosen),
            "nominal": quantity(chosen.book.whole("voltage.nominal"), "mV"),
        },
    )


@require_safe
def steps(request: HttpRequest) -> HttpResponse:
    """The steps that follow each procedure, their forms, and what else is asked."""
    return show(request, "rulebook/steps.html", lambda chosen: {"page": steps_page(chosen.book)})


@require_safe
def settings(request: HttpRequest) -> HttpResponse:
    """Tables of interface protection settings."""
    return show(
        request,
        "rulebook/settings.html",
        lambda chosen: {"tables": settings_page(chosen.book)},
    )


@require_safe
def documents(request: HttpRequest) -> HttpResponse:
    """The register of source documents."""
    person_of(request)
    return render(request, "rulebook/sources.html", {"groups": sources(shelf())})

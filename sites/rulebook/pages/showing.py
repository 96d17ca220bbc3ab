"""Pages of the rulebook: overview, values, table, steps, settings and documents."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from connections.facts.naming import glossary
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
    """Show the rulebook of a place and day in numbers, and what is and isn't covered."""
    return show(
        request,
        "rulebook/index.html",
        lambda chosen: {
            "holds": in_force(chosen),
            "coverage": coverage(chosen),
        },
    )


@require_safe
def values(request: HttpRequest) -> HttpResponse:
    """List the values; `q` searches words, `show` keeps one certainty or the unsure ones."""
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
    """Show one value with its history, layers and uses."""

    def context_of(chosen: Chosen) -> dict[str, object]:
        found = value_page(chosen, key)
        if found is None:
            raise Http404("There is no such value.")
        return {"page": found}

    return show(request, "rulebook/value.html", context_of, key=key)


@require_safe
def table(request: HttpRequest) -> HttpResponse:
    """Show the decision table."""
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
    """Show the steps of each procedure, their forms, extra conditions and caps."""
    return show(request, "rulebook/steps.html", lambda chosen: {"page": steps_page(chosen.book)})


@require_safe
def settings(request: HttpRequest) -> HttpResponse:
    """Show the tables of interface protection settings."""
    return show(
        request,
        "rulebook/settings.html",
        lambda chosen: {"tables": settings_page(chosen.book)},
    )


@require_safe
def words(request: HttpRequest) -> HttpResponse:
    """Show what each fact of a site is called, and what it means."""
    person_of(request)
    return render(request, "rulebook/words.html", {"parts": glossary()})


@require_safe
def documents(request: HttpRequest) -> HttpResponse:
    """Show the register of source documents."""
    person_of(request)
    return render(request, "rulebook/sources.html", {"groups": sources(shelf())})

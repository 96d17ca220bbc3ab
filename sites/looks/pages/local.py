"""Enters, loads and ends local entries, each after a preview of its effects."""

import datetime as dt
from collections.abc import Sequence
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from connections.rulebook.rulebook_errors import RulebookError
from sites.house.refusals import RefusedError
from sites.looks.reading.local_preview import AT_ONCE, first_day, preview, texts_of
from sites.looks.writing import local_entries as local_changes
from sites.looks.writing.looking import start_screening
from sites.people.fetching import engineer_of
from sites.people.models import Person
from sites.rulebook.forms.cap_form import CapForm
from sites.rulebook.forms.condition_form import ConditionForm
from sites.rulebook.forms.entry_form import EntryForm
from sites.rulebook.forms.other_forms import EndForm, LoadForm
from sites.rulebook.forms.value_form import ValueForm
from sites.rulebook.models import LocalEntry
from sites.rulebook.pages.local import entry_or_404, show_entry
from sites.rulebook.reading.choosable import choosable
from sites.rulebook.reading.local_before_after import rule_changes
from sites.rulebook.reading.local_entries import entries_there, entry_of, local_parts, told_entry
from sites.rulebook.writing import local_entries
from sites.rulebook.writing.local_entries import Placed, check_together, new_ones, with_own_sources

PREVIEW, ENTER, BACK, SCREEN = "preview", "enter", "back", "screen"
_DAY = dt.timedelta(days=1)
_NOT_SENT_AGAIN = ("csrfmiddlewaretoken", "act", "file")


@require_http_methods(["GET", "HEAD", "POST"])
def local_new_value(request: HttpRequest) -> HttpResponse:
    """Enter a value of the rulebook, for an area or the firm."""
    person = engineer_of(request)
    key = request.GET.get("key", "")
    value = choosable(timezone.localdate()).get(key)
    if value is None:
        if key:
            raise Http404("The rulebook has no value of this key.")
        return redirect("local-choose")
    form = ValueForm(_sent(request), initial=_initial(request), choosable=value)
    return _new(request, form, person, {"value": value, "heading": value.says})


@require_http_methods(["GET", "HEAD", "POST"])
def local_new_cap(request: HttpRequest) -> HttpResponse:
    """Enter a cap on export, for a feeder or a postcode sector."""
    person = engineer_of(request)
    form = CapForm(_sent(request), initial=_initial(request))
    return _new(request, form, person, {"heading": "A cap on export"})


@require_http_methods(["GET", "HEAD", "POST"])
def local_new_condition(request: HttpRequest) -> HttpResponse:
    """Enter an extra condition."""
    person = engineer_of(request)
    form = ConditionForm(_sent(request), initial=_initial(request))
    return _new(request, form, person, {"heading": "An extra condition"})


def _sent(request: HttpRequest) -> QueryDict | None:
    return request.POST if request.method == "POST" else None


def _initial(request: HttpRequest) -> dict[str, object]:
    asked = {
        name: request.GET.get(name, "")[:200]
        for name in ("area", "title", "document_kind", "clause")
    }
    return {"since": timezone.localdate(), **asked}


def _new(
    request: HttpRequest, form: EntryForm, person: Person, context: dict[str, object]
) -> HttpResponse:
    if request.method != "POST":
        return render(request, "looks/local_new.html", {**context, "form": form})
    act = request.POST.get("act", PREVIEW)
    if form.is_valid() and act != BACK:
        placed: Placed = (form.cleaned_data["area"], form.entry())
        there = entries_there()
        try:
            if act == ENTER:
                row = local_changes.add_entry(
                    area=placed[0],
                    entry=placed[1],
                    reason=form.cleaned_data["reason"],
                    by=person,
                )
                messages.success(request, "It is entered.")
                return redirect("local-entry", row.key)
            wanted = with_own_sources([placed], there)
            check_together([*there, *wanted])
        except RulebookError as fault:
            form.take(fault)
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            on = first_day([placed[1].since])
            return _previewed(request, person, wanted, [*there, *wanted], on, context)
    again = {**context, "form": form, "faults": [] if act == BACK else form.faults()}
    return render(request, "looks/local_new.html", again, status=422 if again["faults"] else 200)


@require_POST
def local_end(request: HttpRequest, key: UUID) -> HttpResponse:
    """End an entry."""
    person = engineer_of(request)
    row = entry_or_404(key)
    form = EndForm(request.POST)
    if request.POST.get("act") == BACK:
        return show_entry(request, row)
    if form.is_valid():
        last_day = form.cleaned_data["last_day"]
        try:
            return _end(request, row, last_day, form.cleaned_data["reason"], person)
        except RulebookError as fault:
            form.add_error(None, f"Without it the other entries do not fit: {fault}.")
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
    return show_entry(request, row, form)


def _end(
    request: HttpRequest, row: LocalEntry, last_day: dt.date, reason: str, person: Person
) -> HttpResponse:
    if request.POST.get("act") == ENTER:
        local_changes.end_entry(row=row, last_day=last_day, reason=reason, by=person)
        messages.success(request, "It is ended.")
        return redirect("local-entry", row.key)
    local_entries.check_end(row, last_day)
    over = local_entries.ended(row, last_day)
    now = (row.area, entry_of(row))
    after = [(row.area, over) if placed == now else placed for placed in entries_there()]
    check_together(after)
    heading = f"End of {row.about}"
    on = first_day([max(last_day + _DAY, row.since)])
    more = {"heading": heading, "ends": row}
    return _previewed(request, person, [(row.area, over)], after, on, more)


@require_http_methods(["GET", "HEAD", "POST"])
def local_load(request: HttpRequest) -> HttpResponse:
    """Load a local file of entries: all of it, or nothing."""
    person = engineer_of(request)
    if request.method != "POST":
        return render(request, "looks/local_load.html", {"form": LoadForm()})
    form, act = LoadForm(request.POST, request.FILES), request.POST.get("act", PREVIEW)
    if form.is_valid() and act != BACK:
        sent = form.cleaned_data["file"]
        name = sent.name if sent else "the text"
        content = sent.read() if sent else form.cleaned_data["text"].encode()
        if not content.strip():
            form.add_error("file", "Choose a file, or paste its text below.")
        else:
            try:
                return _load(request, content, name, form.cleaned_data["reason"], person)
            except RulebookError as fault:
                form.add_error("file" if sent else "text", f"{fault}. Nothing was entered.")
            except RefusedError as refused:
                form.add_error(refused.field or None, refused.message)
    faults = [] if act == BACK else form.faults()
    return render(
        request,
        "looks/local_load.html",
        {"form": form, "faults": faults},
        status=422 if faults else 200,
    )


def _load(
    request: HttpRequest, content: bytes, name: str, reason: str, person: Person
) -> HttpResponse:
    if request.POST.get("act") == ENTER:
        loaded = local_changes.load_entries(content=content, name=name, by=person, reason=reason)
        messages.success(request, f"{str(loaded)[:1].upper()}{str(loaded)[1:]}.")
        return redirect("local-list")
    there = entries_there()
    wanted = local_entries.entries_of_file(content, name)
    new = new_ones(wanted, there)
    check_together([*there, *new])
    heading = f"Entries of {name}"
    on = first_day([entry.since for _, entry in new])
    more = {"heading": heading, "there": len(wanted) - len(new), "count": len(new)}
    # Pass the text on to the act, because a browser does not send a file twice.
    return _previewed(
        request, person, new, [*there, *new], on, more, hidden=[("text", content.decode())]
    )


def _previewed(
    request: HttpRequest,
    person: Person,
    wanted: Sequence[Placed],
    after: Sequence[Placed],
    on: dt.date,
    context: dict[str, object],
    hidden: Sequence[tuple[str, str]] = (),
) -> HttpResponse:
    """Preview the changes that the entries `after` would make from the day `on`; save nothing.

    Hidden boxes carry along what was typed; entering checks it again.
    """
    if request.POST.get("act") == SCREEN:
        run = start_screening(on=on, local=texts_of(after), by=person)
        return redirect("screening", run.key)
    names = [name for name, _ in hidden]
    typed = [
        (name, value)
        for name, value in request.POST.items()
        if name not in (*_NOT_SENT_AGAIN, *names)
    ]
    areas = list(dict.fromkeys(area for area, _ in wanted))
    return render(
        request,
        "looks/local_preview.html",
        {
            **context,
            "told": [told_entry(area, entry) for area, entry in wanted],
            "rules": rule_changes(local_parts(), after, areas, on),
            "preview": preview(after, on=on),
            "at_once": AT_ONCE,
            "typed": [*typed, *hidden],
        },
    )

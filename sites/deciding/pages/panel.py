"""Keeps what is typed and answers with the panel."""

from collections.abc import Iterable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from sites.deciding.reading.panel import panel_of
from sites.house.boxes.messages import digest_of
from sites.house.boxes.sheet_form import Fault
from sites.people.models import Person
from sites.premises.forms.posted import boxes_of, posted_sheet
from sites.premises.forms.sheet import Raw, Sheet
from sites.premises.forms.written import raw_of
from sites.premises.models import Design
from sites.premises.reading.drafts import draft_of
from sites.premises.reading.site_rows import rows_for
from sites.premises.writing.drafts import keep_draft
from sites.premises.writing.sheet import Seen

Told = dict[str, str]
"""Boxes with a message on the page, with the digest of the message."""


def panel(
    request: HttpRequest, *, person: Person, page: str, design: Design | None
) -> HttpResponse:
    """Keep the posted sheet as a draft and answer with the panel; refuse nothing typed.

    Sends changed messages at boxes along out of band. Leaves the others alone, so that the cursor
    stays.
    """
    posted = posted_sheet(request.POST)
    sheet = Sheet(boxes_of(posted.raw))
    shown = panel_of(sheet)
    before = draft_of(person, page)
    seen = dict(before.seen) if before is not None else {}
    told: Told = seen.get("slots", {})
    # Report a missing value at its box only after a first attempt to save.
    faults = [*shown.unreadable, *(fault for fault in shown.lacking if fault.name in told)]
    slots, told = _slots(sheet, faults, told)
    if seen.get("opened") is None or Seen(seen["premises"], seen["design"]) != posted.seen:
        seen["opened"] = _opened(design, posted.seen)
    seen |= {"slots": told, **posted.seen._asdict()}
    draft = keep_draft(person=person, page=page, content=posted.raw, seen=seen, visit=posted.visit)
    return render(
        request,
        "deciding/panel_answer.html",
        {"panel": shown, "draft": draft, "slots": slots},
    )


def told_of(sheet: Sheet, faults: Iterable[Fault]) -> Told:
    """Return the messages at boxes of a page that comes back with these faults."""
    sheet.show("all")
    messages = sheet.messages()
    return {fault.name: digest_of(messages[fault.name]) for fault in faults if fault.name}


def _opened(design: Design | None, seen: Seen) -> Raw | None:
    """Return the sheet as opened, if nobody has changed it since."""
    if design is None or Seen(design.premises.version, design.version) != seen:
        return None
    return raw_of(rows_for(design.premises, design))


def _slots(sheet: Sheet, faults: Iterable[Fault], told: Told) -> tuple[list[tuple[str, str]], Told]:
    """Return the messages to send, by box, and all messages then on the page.

    Clears the message of a box that is right again, unless its answered question stands there.
    """
    sheet.show("all")
    messages, answered = sheet.messages(), sheet.answered()
    wrong = {fault.name for fault in faults if fault.name}
    now: Told = {}
    slots: list[tuple[str, str]] = []
    for name, html in messages.items():
        if name in wrong:
            now[name] = digest_of(html)
            if told.get(name) != now[name]:
                slots.append((name, html))
        elif name in told:
            if name in answered:
                now[name] = told[name]
            else:
                slots.append((name, ""))
    return slots, now

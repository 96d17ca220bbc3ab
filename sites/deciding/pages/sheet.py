"""Sheet of a premises with one of its designs: opens, saves, updates panel and draft."""

from uuid import UUID

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from sites.deciding.pages.panel import Told, panel, told_of
from sites.deciding.pages.showing import SheetPage, ShownDouble, asked_of, show
from sites.deciding.pages.thrown import throw_or_fetch
from sites.house.boxes.sheet_form import Fault
from sites.house.fetching import row_or_404
from sites.people.fetching import person_of
from sites.people.models import Person
from sites.premises.forms.conflict import differences, take_theirs
from sites.premises.forms.posted import Posted, boxes_of, posted_sheet, said_of_doubles
from sites.premises.forms.sheet import Raw, Sheet, called
from sites.premises.forms.written import keys_of, raw_of
from sites.premises.models import Design, Draft
from sites.premises.reading.doubles import alike, marks_of
from sites.premises.reading.drafts import draft_of, sheet_page, thrown_draft_of
from sites.premises.reading.sheet_initial import last_saved
from sites.premises.reading.site_rows import rows_for
from sites.premises.refusals import EngineersFigureError, ReferenceTakenError, StaleSheetError
from sites.premises.writing.drafts import drop_draft, keep_draft
from sites.premises.writing.sheet import Seen, save_sheet


def _designs() -> "QuerySet[Design]":
    return Design.objects.select_related("premises")


def _now(design: Design) -> Seen:
    return Seen(design.premises.version, design.version)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def design_sheet(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the sheet of a design; a post saves it."""
    person = person_of(request)
    design = row_or_404(_designs(), key)
    if request.method == "POST":
        return _save(request, person, design)
    draft = draft_of(person, sheet_page(design.key))
    saved = rows_for(design.premises, design)
    if draft is None:
        page = SheetPage(Sheet(raw_of(saved)), design, _now(design))
        page.thrown = thrown_draft_of(person, sheet_page(design.key))
        return show(request, page)
    seen = Seen(draft.seen.get("premises", 0), draft.seen.get("design", 0))
    page = SheetPage(Sheet(boxes_of(draft.content)), design, seen, draft=draft)
    if seen != _now(design):
        _lay_beside(page, draft.content, raw_of(saved), draft)
    return show(request, page)


def _save(request: HttpRequest, person: Person, design: Design) -> HttpResponse:
    posted = posted_sheet(request.POST)
    draft = draft_of(person, sheet_page(design.key))
    saved = rows_for(design.premises, design)
    theirs = raw_of(saved)
    now = _now(design)
    seen = posted.seen
    raw = boxes_of(posted.raw)
    if seen != now:
        if posted.against == now:
            raw = take_theirs(posted.raw, theirs)
        elif _differs(posted.raw, theirs, draft):
            return _conflict(request, person, design, posted, theirs, draft)
        seen = now
    sheet = Sheet(raw, keys_of(saved))
    said = said_of_doubles(request.POST)
    # What was alike before this save is asked about on the page of the premises.
    new = marks_of(sheet.rows) - marks_of(saved)
    doubles, unanswered = asked_of(alike(new, than=design.premises), said)
    faults = [*sheet.faults(), *unanswered]
    if faults:
        return _again(request, person, design, posted, sheet, faults, draft, doubles)
    try:
        changes = save_sheet(design=design, rows=sheet.rows, seen=seen, by=person, said=said)
    except StaleSheetError:
        # Somebody saved between our read and our write: read again.
        design = row_or_404(_designs(), design.key)
        theirs = raw_of(rows_for(design.premises, design))
        return _conflict(request, person, design, posted, theirs, draft)
    except EngineersFigureError as fault:
        figure = Fault("rows-overrides", called("overrides"), str(fault))
        return _again(request, person, design, posted, sheet, [figure], draft, doubles)
    except ReferenceTakenError as fault:
        taken = Fault("id_case-reference", "Reference", str(fault), "case-reference")
        sheet.forms["case"].add_error("reference", str(fault))
        return _again(request, person, design, posted, sheet, [taken], draft, doubles)
    drop_draft(person=person, page=sheet_page(design.key), visit=posted.visit)
    messages.success(request, "The sheet is saved." if changes else "Nothing had changed.")
    for words in sheet.spread_units:
        messages.info(request, f"{words}. Each stands in a row of its own now.")
    return redirect("premises", design.premises.key)


def _differs(mine: Raw, theirs: Raw, draft: Draft | None) -> bool:
    """Whether somebody changed something on this sheet that is not typed here too."""
    opened = draft.seen.get("opened") if draft is not None else None
    return any(each.who != "you" for each in differences(mine, theirs, opened))


def _lay_beside(page: SheetPage, mine: Raw, theirs: Raw, draft: Draft | None) -> None:
    """Show the differences between the sheet typed here and the one saved meanwhile."""
    opened = draft.seen.get("opened") if draft is not None else None
    if page.design is not None:
        page.differences = tuple(differences(mine, theirs, opened))
        page.against = _now(page.design)
        page.theirs = last_saved(page.design.premises.key)


def _conflict(
    request: HttpRequest,
    person: Person,
    design: Design,
    posted: Posted,
    theirs: Raw,
    draft: Draft | None,
) -> HttpResponse:
    """Keep the sheet as a draft and show both versions side by side."""
    _keep(person, design, posted, draft)
    page = SheetPage(Sheet(boxes_of(posted.raw)), design, posted.seen, visit=posted.visit)
    _lay_beside(page, posted.raw, theirs, draft)
    return show(request, page, status=422)


def _again(
    request: HttpRequest,
    person: Person,
    design: Design,
    posted: Posted,
    sheet: Sheet,
    faults: list[Fault],
    draft: Draft | None,
    doubles: tuple[ShownDouble, ...],
) -> HttpResponse:
    """Keep the sheet as a draft and show it again with its faults."""
    _keep(person, design, posted, draft, told_of(sheet, faults))
    page = SheetPage(
        sheet, design, posted.seen, visit=posted.visit, faults=tuple(faults), doubles=doubles
    )
    if posted.seen != _now(design):
        _lay_beside(page, posted.raw, raw_of(rows_for(design.premises, design)), draft)
    return show(request, page, status=422)


def _keep(
    person: Person,
    design: Design,
    posted: Posted,
    draft: Draft | None,
    told: Told | None = None,
) -> None:
    seen: dict[str, object] = dict(draft.seen) if draft is not None else {"opened": None}
    seen |= {**posted.seen._asdict(), "slots": told or {}}
    keep_draft(
        person=person,
        page=sheet_page(design.key),
        content=posted.raw,
        seen=seen,
        visit=posted.visit,
    )


@never_cache
@require_POST
def design_panel(request: HttpRequest, key: UUID) -> HttpResponse:
    """Keep the sheet as a draft and answer with the panel."""
    person = person_of(request)
    design = row_or_404(_designs(), key)
    return panel(request, person=person, page=sheet_page(design.key), design=design)


@require_POST
def draft_drop(request: HttpRequest, key: UUID) -> HttpResponse:
    """Throw away what was typed on the sheet and not saved, or fetch it back."""
    design = row_or_404(_designs(), key)
    throw_or_fetch(request, sheet_page(design.key))
    return redirect("design-sheet", design.key)

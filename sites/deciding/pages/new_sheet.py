"""Pages of a new premises: its sheet, panel and draft."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from sites.deciding.pages.panel import panel, told_of
from sites.deciding.pages.showing import SheetPage, ShownDouble, asked_of, show
from sites.house.boxes.sheet_form import Fault
from sites.people.fetching import person_of
from sites.people.models import Person
from sites.premises.forms.posted import Posted, boxes_of, posted_sheet, said_of_doubles
from sites.premises.forms.sheet import Sheet, called
from sites.premises.forms.written import raw_of_new
from sites.premises.reading.doubles import alike, marks_of
from sites.premises.reading.drafts import NEW_PREMISES, draft_of
from sites.premises.reading.sheet_initial import firm
from sites.premises.refusals import EngineersFigureError, ReferenceTakenError
from sites.premises.writing.drafts import drop_draft, keep_draft
from sites.premises.writing.sheet import Seen, create_premises

NONE_YET = Seen(0, 0)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def premises_new(request: HttpRequest) -> HttpResponse:
    """Show an empty sheet or the draft; a post creates the premises."""
    person = person_of(request)
    if request.method == "POST":
        return _create(request, person)
    draft = draft_of(person, NEW_PREMISES)
    raw = boxes_of(draft.content) if draft is not None else raw_of_new(firm())
    return show(request, SheetPage(Sheet(raw), None, NONE_YET, draft=draft))


def _create(request: HttpRequest, person: Person) -> HttpResponse:
    posted = posted_sheet(request.POST)
    sheet = Sheet(boxes_of(posted.raw))
    said = said_of_doubles(request.POST)
    doubles, unanswered = asked_of(alike(marks_of(sheet.rows)), said)
    faults = [*sheet.faults(), *unanswered]
    if faults:
        return _again(request, person, posted, sheet, faults, doubles)
    try:
        case = create_premises(rows=sheet.rows, by=person, said=said)
    except EngineersFigureError as fault:
        figure = Fault("rows-overrides", called("overrides"), str(fault))
        return _again(request, person, posted, sheet, [figure], doubles)
    except ReferenceTakenError as fault:
        taken = Fault("id_case-reference", "Reference", str(fault), "case-reference")
        sheet.forms["case"].add_error("reference", str(fault))
        return _again(request, person, posted, sheet, [taken], doubles)
    drop_draft(person=person, page=NEW_PREMISES, visit=posted.visit)
    messages.success(request, f"{case.premises} is created.")
    for words in sheet.spread_units:
        messages.info(request, f"{words}. Each stands in a row of its own now.")
    return redirect("premises", case.premises.key)


def _again(
    request: HttpRequest,
    person: Person,
    posted: Posted,
    sheet: Sheet,
    faults: list[Fault],
    doubles: tuple[ShownDouble, ...],
) -> HttpResponse:
    """Keep the sheet as a draft and show it again with its faults."""
    keep_draft(
        person=person,
        page=NEW_PREMISES,
        content=posted.raw,
        seen={"slots": told_of(sheet, faults), **NONE_YET._asdict(), "opened": None},
        visit=posted.visit,
    )
    page = SheetPage(
        sheet, None, NONE_YET, visit=posted.visit, faults=tuple(faults), doubles=doubles
    )
    return show(request, page, status=422)


@never_cache
@require_POST
def new_panel(request: HttpRequest) -> HttpResponse:
    """Keep the sheet as a draft and answer with the panel."""
    return panel(request, person=person_of(request), page=NEW_PREMISES, design=None)


@require_POST
def new_draft_drop(request: HttpRequest) -> HttpResponse:
    """Drop the draft of a new sheet."""
    drop_draft(
        person=person_of(request), page=NEW_PREMISES, visit=request.POST.get("visit", "")[:40]
    )
    messages.success(request, "What you typed has been dropped.")
    return redirect("premises-new")

"""Pages of a new premises: its sheet, panel and draft."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from sites.deciding.pages.panel import panel, told_of
from sites.deciding.pages.showing import SheetPage, ShownDouble, asked_of, show
from sites.deciding.pages.thrown import throw_or_fetch
from sites.house.boxes.sheet_form import Fault
from sites.house.fetching import row_or_404
from sites.people.fetching import person_of
from sites.people.models import Person
from sites.premises.forms.posted import Posted, boxes_of, posted_sheet, said_of_doubles
from sites.premises.forms.sheet import Sheet, called
from sites.premises.forms.written import raw_like, raw_of_new
from sites.premises.models import Design
from sites.premises.reading.doubles import alike, marks_of
from sites.premises.reading.drafts import NEW_PREMISES, draft_of, thrown_draft_of
from sites.premises.reading.sheet_initial import firm
from sites.premises.reading.site_rows import rows_for
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
    like = _premises_like(request)
    if draft is not None:
        raw = boxes_of(draft.content)
    elif like is not None:
        raw = raw_like(rows_for(like.premises, like), firm())
    else:
        raw = raw_of_new(firm())
    page = SheetPage(Sheet(raw), None, NONE_YET, draft=draft)
    page.thrown = thrown_draft_of(person, NEW_PREMISES) if draft is None else None
    page.like = like
    return show(request, page)


def _premises_like(request: HttpRequest) -> Design | None:
    """The proposal of the premises that the new one is to be like, if the address names one."""
    try:
        key = UUID(request.GET.get("like", ""))
    except ValueError:
        return None
    return row_or_404(Design.objects.select_related("premises"), key)


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
    """Throw the draft of a new sheet away, or fetch it back."""
    throw_or_fetch(request, NEW_PREMISES)
    return redirect("premises-new")

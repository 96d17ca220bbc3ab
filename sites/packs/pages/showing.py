"""Page of a pack that is not issued yet."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import add_never_cache_headers
from msgspec import Struct

from connections.documents.diagrams import pack_drawings
from connections.documents.html import shown_sections
from sites.deciding.words import SEVERITY_WORDS
from sites.packs.forms import AttachmentForm, IssueForm, WithoutForm
from sites.packs.reading.packs import DraftPack, Obstacle
from sites.people.fetching import person_of
from sites.premises.forms.box_places import box_at
from sites.premises.reading.site_rows import SiteRows, rows_for
from sites.review.reading.review import anchor_of


class ShownObstacle(Struct, frozen=True):
    """An obstacle with the link to settle it; of a finding also the severity in words."""

    severity: str
    severity_words: str
    says: str
    link: str
    link_words: str


def show_preview(
    request: HttpRequest,
    draft: DraftPack,
    *,
    issue_form: IssueForm | None = None,
    attachment_form: AttachmentForm | None = None,
    without_form: WithoutForm | None = None,
) -> HttpResponse:
    """Show the page; status 422 if a form has faults."""
    person = person_of(request)
    faults = [
        fault
        for form in (issue_form, attachment_form, without_form)
        if form is not None
        for fault in form.faults()
    ]
    rows = None
    if draft.case is not None and any(each.where == "sheet" for each in draft.obstacles):
        rows = rows_for(draft.case.premises, draft.case.design)
    context: dict[str, object] = {
        "draft": draft,
        "application": draft.application,
        "case": draft.case,
        "obstacles": [_obstacle(each, draft, rows) for each in draft.obstacles],
        "blocked": [each for each in draft.obstacles if each.where != "here"],
        "faults": faults,
        "later": _later(draft),
        "attachment_form": attachment_form or AttachmentForm(auto_id="attach-%s"),
    }
    if person.is_engineer and any(each.need for each in draft.obstacles):
        context["without_form"] = without_form or WithoutForm(
            lacking=draft.obstacles, auto_id="without-%s"
        )
    if draft.pack is not None:
        context |= {
            "pack": draft.pack,
            "words": draft.pack.technical.wording,
            "sections": [
                {
                    **section,
                    "blocks": [b for b in section["blocks"] if b["kind"] != "contents"],
                }
                for section in shown_sections(draft.pack)
            ],
            "drawings": pack_drawings(draft.pack),
            "annex_sections": [] if draft.annex is None else shown_sections(draft.annex),
        }
        if person.is_engineer:
            context["issue_form"] = issue_form or IssueForm(
                initial={
                    "version": draft.application.version,
                    "revision": draft.revision,
                    "content": draft.content,
                },
                declares=draft.declares,
                stale=bool(draft.stale),
                auto_id="issue-%s",
            )
    answer = render(request, "packs/preview.html", context, status=422 if faults else 200)
    # The browser's back button must not offer an old version to issue.
    add_never_cache_headers(answer)
    return answer


def _later(draft: DraftPack) -> list[tuple[str, list[str]]]:
    """Facts that only a later stage needs, by stage."""
    found: dict[str, list[str]] = {}
    for need in draft.later:
        found.setdefault(need.stage, []).append(need.says)
    return list(found.items())


def _obstacle(obstacle: Obstacle, draft: DraftPack, rows: SiteRows | None) -> ShownObstacle:
    severity = obstacle.finding.severity if obstacle.finding else ""
    link, link_words = _place(obstacle, draft, rows)
    return ShownObstacle(
        severity=severity,
        severity_words=SEVERITY_WORDS.get(severity, ""),
        says=obstacle.says,
        link=link,
        link_words=link_words,
    )


def _place(obstacle: Obstacle, draft: DraftPack, rows: SiteRows | None) -> tuple[str, str]:
    case = draft.case
    if obstacle.where == "here":
        return "#issue-declared_by", "Give it below"
    if case is None or obstacle.where == "nowhere":
        return "", ""
    if obstacle.where == "case":
        return reverse("premises", args=[case.premises.key]), "Open the case"
    review = reverse("case-review", args=[case.key])
    if obstacle.finding is not None:
        words = "Review it" if obstacle.finding.severity == "stops" else "Decide it"
        return f"{review}#{anchor_of(obstacle.finding)}", words
    if obstacle.where == "review":
        return review, "See why"
    sheet = reverse("design-sheet", args=[case.design.key])
    box = box_at(obstacle.path, rows) if rows is not None else ""
    return f"{sheet}#{box}" if box else sheet, "Enter it on the sheet"

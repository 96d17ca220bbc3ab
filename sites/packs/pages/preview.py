"""Page of the pack as it would be issued now, with its obstacles, and the act of issuing."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.cache import add_never_cache_headers
from django.views.decorators.http import require_POST, require_safe

from connections.documents.print_error import PrintError
from connections.pack.pack_error import PackError
from sites.cases.models import Application
from sites.house.fetching import row_or_404
from sites.house.few import BusyError, one_of_few
from sites.house.pages.file_names import file_name
from sites.house.refusals import RefusedError
from sites.house.storage import FileGoneError
from sites.packs.forms import IssueForm, WithoutForm
from sites.packs.pages.showing import show_preview
from sites.packs.reading.packs import draft_of
from sites.packs.writing.issuing import IssuedMeanwhileError, ObstructedError, issue_pack
from sites.packs.writing.printing import render_frozen
from sites.packs.writing.sending_without import send_without
from sites.people.fetching import engineer_of, person_of


@require_safe
def pack_preview(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the pack that would be issued, section by section, with its obstacles."""
    person_of(request)
    application = row_or_404(Application.objects.all(), key)
    return show_preview(request, draft_of(application))


@require_safe
def preview_print(request: HttpRequest, key: UUID) -> HttpResponse:
    """Print the pack as PDF, marked on every page as not issued; stores nothing."""
    person_of(request)
    application = row_or_404(Application.objects.all(), key)
    try:
        with one_of_few():
            draft = draft_of(application)
            if draft.pack is None:
                return show_preview(request, draft)
            content = render_frozen(draft.pack)
    except BusyError:
        return _not_printed(
            request, application, "Others are printing. Try again in a moment.", 503
        )
    except (PrintError, PackError, FileGoneError) as fault:
        return _not_printed(request, application, str(fault), 500)
    answer = HttpResponse(content, content_type="application/pdf")
    name = file_name(application.reference, "not issued", "pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    add_never_cache_headers(answer)
    return answer


def _not_printed(
    request: HttpRequest, application: Application, says: str, status: int
) -> HttpResponse:
    return render(
        request,
        "packs/not_printed.html",
        {"application": application, "says": says},
        status=status,
    )


@require_POST
def issue(request: HttpRequest, key: UUID) -> HttpResponse:
    """Issue the revision that was seen, once, however often the button is pressed."""
    person = engineer_of(request)
    application = row_or_404(Application.objects.all(), key)
    draft = draft_of(application)
    form = IssueForm(
        request.POST, declares=draft.declares, stale=bool(draft.stale), auto_id="issue-%s"
    )
    if not form.is_valid():
        return show_preview(request, draft, issue_form=form)
    try:
        pack = issue_pack(
            application=application,
            seen=form.seen,
            declaration=form.declaration,
            keeps_files=form.cleaned_data.get("keeps_files", False),
            by=person,
        )
    except IssuedMeanwhileError as refused:
        messages.info(request, refused.message)
        return redirect("pack", refused.pack.key)
    except ObstructedError:
        form.add_error(None, "The pack was not issued: see what stands in the way.")
        return show_preview(request, draft, issue_form=form)
    except RefusedError as refused:
        # The pack to issue is a different one now; the page shows it and carries its digest along.
        application.refresh_from_db()
        draft = draft_of(application)
        form = IssueForm(
            _carried(request, application.version, draft.revision, draft.content),
            declares=draft.declares,
            stale=bool(draft.stale),
            auto_id="issue-%s",
        )
        form.is_valid()
        form.add_error(None, refused.message)
        return show_preview(request, draft, issue_form=form)
    messages.success(request, f"Revision {pack.revision} is issued.")
    return redirect("pack", pack.key)


@require_POST
def without(request: HttpRequest, key: UUID) -> HttpResponse:
    """Enter the reason to send the pack without facts that it needs."""
    person = engineer_of(request)
    application = row_or_404(Application.objects.all(), key)
    draft = draft_of(application)
    if draft.case is None:
        return show_preview(request, draft)
    form = WithoutForm(request.POST, lacking=draft.obstacles, auto_id="without-%s")
    if form.is_valid():
        try:
            send_without(
                case=draft.case,
                facts=form.chosen,
                reason=form.cleaned_data["reason"],
                by=person,
            )
        except RefusedError as refused:
            form.add_error(refused.field or None, refused.message)
        else:
            messages.success(request, "Your reason is entered; the pack prints it beside the gap.")
            return redirect("pack-preview", application.key)
    return show_preview(request, draft, without_form=form)


def _carried(request: HttpRequest, version: int, revision: int, content: str) -> dict[str, str]:
    typed = {
        name: request.POST.get(name, "") for name in ("declared_by", "declared_on", "keeps_files")
    }
    return {**typed, "version": str(version), "revision": str(revision), "content": content}

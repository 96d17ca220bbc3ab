"""Attaches a file to an application, and leaves it out of later packs."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from sites.cases.models import Application, Case
from sites.house.fetching import row_or_404
from sites.house.pages.uploading import sent_file, takes_a_file
from sites.house.refusals import RefusedError
from sites.house.uploads import examine
from sites.packs.forms import AttachmentForm
from sites.packs.pages.showing import show_preview
from sites.packs.reading.packs import draft_of
from sites.people.fetching import person_of
from sites.review.models import Attachment
from sites.review.writing.attachments import add_attachment, take_out_attachment


@takes_a_file
@require_POST
def attachment_add(request: HttpRequest, key: UUID, *, too_large: str = "") -> HttpResponse:
    """Attach a file to the application."""
    person = person_of(request)
    case = row_or_404(Case.objects.select_related("application", "premises", "design"), key)
    if too_large:
        # The upload was not read; the message stands at the box all the same.
        form = AttachmentForm({}, auto_id="attach-%s")
        form.errors.clear()
        form.add_error("file", too_large)
        return show_preview(request, draft_of(case.application), attachment_form=form)
    form = AttachmentForm(request.POST, request.FILES, auto_id="attach-%s")
    file = sent_file(request)
    if form.is_valid() and file is not None:
        try:
            upload = examine(
                name=file.name or "", content=file.read(), title=form.cleaned_data["title"]
            )
            kind = form.cleaned_data["kind"]
            attached = add_attachment(case=case, upload=upload, kind=kind, by=person)
        except RefusedError as refused:
            form.add_error("file", refused.message)
        else:
            messages.success(request, f"Attached: {attached.name}.")
            return _back(case.application)
    return show_preview(request, draft_of(case.application), attachment_form=form)


@require_POST
def attachment_take_out(request: HttpRequest, key: UUID) -> HttpResponse:
    """Leave a file out of later packs; issued packs keep it."""
    person = person_of(request)
    attachment = row_or_404(
        Attachment.objects.select_related("case__application", "case__premises"), key
    )
    try:
        take_out_attachment(attachment=attachment, by=person)
    except RefusedError as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"Taken out: {attachment.name}. Issued packs keep it.")
    return _back(attachment.case.application)


def _back(application: Application) -> HttpResponse:
    answer = redirect("pack-preview", application.key)
    answer["Location"] += "#files"
    return answer

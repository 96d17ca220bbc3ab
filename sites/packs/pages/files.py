"""Downloads of stored files: prints of issued packs, their data, and attachments."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from connections.pack.content import write_pack
from sites.house.fetching import row_or_404
from sites.house.pages.file_names import file_name
from sites.house.pages.stored_files import stored_file
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import pack_of
from sites.people.fetching import person_of
from sites.review.models import Attachment


@require_safe
def pack_print(request: HttpRequest, key: UUID) -> HttpResponseBase:
    """Return the stored PDF of an issued pack; a repeated request does not even read it."""
    person_of(request)
    pack = row_or_404(
        FrozenPack.objects.only("key", "reference", "revision", "pdf_sha256", "personal_id"), key
    )
    if pack.personal_id is None:
        return _erased(request, pack)
    if not pack.pdf_sha256:
        return redirect("pack", pack.key)
    name = file_name(pack.reference, f"revision {pack.revision}", "pdf")
    return stored_file(request, pack.pdf_sha256, "application/pdf", name)


def _erased(request: HttpRequest, pack: FrozenPack) -> HttpResponse:
    return render(request, "packs/erased.html", {"pack": pack}, status=410)


@require_safe
def annex_print(request: HttpRequest, key: UUID) -> HttpResponseBase:
    """Return the stored PDF of a pack's annex, for the firm's file."""
    return _beside(request, key, "annex_pdf_sha256", "annex")


@require_safe
def notice_print(request: HttpRequest, key: UUID) -> HttpResponseBase:
    """Return the stored PDF of the notice of demand beside a pack."""
    return _beside(request, key, "notice_pdf_sha256", "notice of demand")


def _beside(request: HttpRequest, key: UUID, field: str, what: str) -> HttpResponseBase:
    person_of(request)
    pack = row_or_404(
        FrozenPack.objects.only("key", "reference", "revision", "personal_id", field), key
    )
    if pack.personal_id is None:
        return _erased(request, pack)
    sha256: str = getattr(pack, field)
    if not sha256:
        return redirect("pack", pack.key)
    name = file_name(pack.reference, f"revision {pack.revision} {what}", "pdf")
    return stored_file(request, sha256, "application/pdf", name)


@require_safe
def pack_data(request: HttpRequest, key: UUID) -> HttpResponse:
    """Download the frozen content as JSON, as embedded in the PDF."""
    person_of(request)
    frozen = row_or_404(FrozenPack.objects.select_related("personal"), key)
    answer = HttpResponse(write_pack(pack_of(frozen)), content_type="application/json")
    name = file_name(frozen.reference, f"revision {frozen.revision}", "json")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "private, no-cache"
    return answer


@require_safe
def attachment(request: HttpRequest, key: UUID) -> HttpResponseBase:
    """Download an attached file; no page of ours shows it."""
    person_of(request)
    found = row_or_404(Attachment.objects.all(), key)
    return stored_file(request, found.sha256, found.media_type, found.name)

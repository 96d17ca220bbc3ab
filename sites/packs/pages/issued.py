"""Page of an issued pack: its content, its print, rebuilding and re-checking."""

from uuid import UUID

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe
from django_tasks.exceptions import TaskResultDoesNotExist

from connections.pack.pack_error import PackError
from sites.house.fetching import row_or_404
from sites.house.refusals import RefusedError
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import pack_of
from sites.packs.reading.rechecking import recheck as recheck_pack
from sites.packs.reading.swaps import swap_of
from sites.packs.tasks import rebuild_pack
from sites.packs.writing.asking_to_print import ask_to_print_again
from sites.people.fetching import person_of

LONG_S = 60
"""A print that takes this long may have no worker, or a dead one."""


def _packs() -> QuerySet[FrozenPack]:
    return FrozenPack.objects.select_related(
        "application", "personal", "rulebook", "issued_by", "replaces", "replaced_by"
    )


@require_safe
def pack(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show an issued pack."""
    person_of(request)
    return _page(request, row_or_404(_packs(), key))


def _is_void(frozen: FrozenPack) -> bool:
    """Whether the newest revision describes other plant than the sheet does now."""
    if getattr(frozen, "replaced_by", None) is not None:
        return False
    swap = swap_of(frozen.application)
    return swap is not None and bool(swap.void)


def _page(request: HttpRequest, frozen: FrozenPack, **more: object) -> HttpResponse:
    try:
        content, fault = pack_of(frozen), ""
    except PackError as wrong:
        content, fault = None, wrong.message
    return render(
        request,
        "packs/pack.html",
        {
            "frozen": frozen,
            "content": content,
            "fault": fault,
            "void": content is not None and _is_void(frozen),
            "revisions": list(
                FrozenPack.objects.filter(application=frozen.application)
                .only("key", "revision", "issued_at", "reference")
                .order_by("revision")
            ),
            **_status(frozen),
            **more,
        },
    )


def _status(frozen: FrozenPack) -> dict[str, object]:
    """Return the print's state (erased, printed, failed, printing) and whether it is late."""
    waited = (timezone.now() - frozen.issued_at).total_seconds()
    if frozen.personal_id is None:
        state = "erased"
    elif frozen.pdf_sha256:
        state = "printed"
    elif frozen.print_fault:
        state = "failed"
    else:
        state = "printing"
    beside = (
        state == "printed"
        and not frozen.print_fault
        and waited < LONG_S
        and (
            bool(frozen.annex_digest) > bool(frozen.annex_pdf_sha256)
            or bool(frozen.notice_digest) > bool(frozen.notice_pdf_sha256)
        )
    )
    return {
        "state": state,
        "long": state == "printing" and waited > LONG_S,
        "beside": beside,
    }


@require_safe
def pack_status(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show the state of the print as a part of the page; it polls only during printing."""
    person_of(request)
    frozen = row_or_404(FrozenPack.objects.defer("technical", "annex", "notice"), key)
    answer = render(request, "packs/status.html", {"frozen": frozen, **_status(frozen)})
    answer["Cache-Control"] = "no-store"
    return answer


@require_POST
def print_again(request: HttpRequest, key: UUID) -> HttpResponse:
    """Ask for the print once more."""
    person = person_of(request)
    frozen = row_or_404(_packs(), key)
    try:
        ask_to_print_again(pack=frozen, by=person)
    except RefusedError as refused:
        messages.info(request, refused.message)
    return redirect("pack", key)


@require_POST
def rebuild(request: HttpRequest, key: UUID) -> HttpResponse:
    """Render the frozen content again, to compare it with the stored print."""
    person_of(request)
    frozen = row_or_404(_packs(), key)
    if frozen.personal_id is None or not frozen.pdf_sha256:
        messages.info(request, "There is no print of this pack to compare with.")
        return redirect("pack", key)
    asked = rebuild_pack.enqueue(frozen.digest)
    return redirect("pack-rebuilt", key, UUID(str(asked.id)))


@require_safe
def rebuilt(request: HttpRequest, key: UUID, task: UUID) -> HttpResponse:
    """Show the result of a rebuilding; htmx gets only that part of the page."""
    person_of(request)
    frozen = row_or_404(_packs(), key)
    try:
        result = rebuild_pack.get_result(str(task))
    except TaskResultDoesNotExist:
        raise Http404 from None
    if list(result.args) != [frozen.digest]:
        raise Http404
    context: dict[str, object] = {
        "task": task,
        "rebuilt_state": str(result.status).lower(),
        "rebuilt": result.return_value if result.status == "SUCCESSFUL" else None,
    }
    if request.headers.get("HX-Request") == "true":
        answer = render(request, "packs/rebuilt.html", {"frozen": frozen, **context})
    else:
        answer = _page(request, frozen, **context)
    answer["Cache-Control"] = "no-store"
    return answer


@require_safe
def recheck(request: HttpRequest, key: UUID) -> HttpResponse:
    """Decide the frozen facts again under today's rules, and show the differences."""
    person_of(request)
    frozen = row_or_404(_packs(), key)
    try:
        rechecked = recheck_pack(frozen, on=timezone.localdate())
    except (PackError, ValueError) as fault:
        return _page(request, frozen, recheck_fault=str(fault))
    return _page(request, frozen, rechecked=rechecked)

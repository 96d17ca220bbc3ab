"""Prints frozen packs in the worker: writes aside, renames to the hash, then notes it."""

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from connections.documents.print_error import PrintError
from connections.pack.content import Pack
from connections.pack.pack_error import PackError
from sites.house import storage
from sites.house.storage import FileGoneError
from sites.house.writing.events import record
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import annex_of, notice_of, pack_of

TO_PRINT = Q(pdf_sha256="", personal__isnull=False)
"""Not printed yet, and not erased."""
BESIDE = Q(personal__isnull=False) & (
    (~Q(annex_digest="") & Q(annex_pdf_sha256=""))
    | (~Q(notice_digest="") & Q(notice_pdf_sha256=""))
)
"""Something beside the pack is not printed yet."""


def print_frozen(digest: str) -> str:
    """Print the pack with this digest, unless printed or erased; return the PDF's digest.

    Then prints what goes beside it. The worker may run it repeatedly: only one print is noted.
    Notes a failure for the page, and raises it.
    """
    frozen = FrozenPack.objects.select_related("personal", "application").get(digest=digest)
    if frozen.personal is None:
        return frozen.pdf_sha256
    try:
        sha256 = frozen.pdf_sha256 or _print_pack(frozen)
        _print_beside(frozen)
    except (PrintError, PackError, FileGoneError) as fault:
        note_fault(frozen, str(fault))
        raise
    except Exception:
        note_fault(frozen, "Something in the program failed; its log says what.")
        raise
    return sha256


def _print_pack(frozen: FrozenPack) -> str:
    sha256 = storage.store(render_frozen(pack_of(frozen)))
    if not _note_print(frozen, sha256):
        _forget(sha256)
    return sha256


def _print_beside(frozen: FrozenPack) -> None:
    from connections.documents.render import render, render_annex

    annex, notice = annex_of(frozen), notice_of(frozen)
    if annex is not None and not frozen.annex_pdf_sha256:
        _keep_beside(frozen, "annex_pdf_sha256", render_annex(annex))
    if notice is not None and not frozen.notice_pdf_sha256:
        _keep_beside(frozen, "notice_pdf_sha256", render(notice))


@transaction.atomic
def _keep_beside(frozen: FrozenPack, field: str, content: bytes) -> None:
    """Store a print beside the pack and note it, unless another came first or it is erased."""
    sha256 = storage.store(content)
    rows = FrozenPack.objects.filter(pk=frozen.pk, personal__isnull=False, **{field: ""})
    if not rows.update(**{field: sha256, "print_fault": ""}):
        _forget(sha256)


def render_frozen(pack: Pack) -> bytes:
    """Return the PDF of frozen content, with its files from the store.

    Raises PrintError, PackError, or FileGoneError if an attachment is not in the store.
    """
    from connections.documents.render import render

    files = {file.sha256: storage.stored(file.sha256) for file in pack.technical.attachments}
    return render(pack, files)


def printed_again(digest: str) -> dict[str, str | bool]:
    """Render what was printed under a pack again and compare; stores nothing."""
    from connections.documents.render import render, render_annex

    frozen = FrozenPack.objects.select_related("personal").get(digest=digest)
    if frozen.personal is None:
        return {"same": False, "fault": "The personal part was erased; it can't be printed again."}
    try:
        sha256 = storage.digest_of(render_frozen(pack_of(frozen)))
        same = sha256 == frozen.pdf_sha256
        annex, notice = annex_of(frozen), notice_of(frozen)
        if annex is not None and frozen.annex_pdf_sha256:
            same &= storage.digest_of(render_annex(annex)) == frozen.annex_pdf_sha256
        if notice is not None and frozen.notice_pdf_sha256:
            same &= storage.digest_of(render(notice)) == frozen.notice_pdf_sha256
    except (PrintError, PackError, FileGoneError) as fault:
        return {"same": False, "fault": str(fault)}
    return {"same": same, "sha256": sha256, "fault": ""}


@transaction.atomic
def note_fault(pack: FrozenPack, says: str) -> None:
    """Note why a print failed, for the pack's page."""
    noted = FrozenPack.objects.filter(TO_PRINT | BESIDE, pk=pack.pk).update(print_fault=says[:300])
    if noted:
        record("pack.print-failed", by=None, subject=pack.application, data=event_data(pack))


@transaction.atomic
def _note_print(frozen: FrozenPack, sha256: str) -> bool:
    """Note the file of a print; return whether it was the first of a pack still to be printed."""
    noted = FrozenPack.objects.filter(TO_PRINT, pk=frozen.pk).update(
        pdf_sha256=sha256, printed_at=timezone.now(), print_fault=""
    )
    if noted:
        data = {**event_data(frozen), "pdf_sha256": sha256}
        record("pack.printed", by=None, subject=frozen.application, data=data)
    return bool(noted)


def _forget(sha256: str) -> None:
    """Delete a print that no pack refers to."""
    named = Q(pdf_sha256=sha256) | Q(annex_pdf_sha256=sha256) | Q(notice_pdf_sha256=sha256)
    if not FrozenPack.objects.filter(named, personal__isnull=False).exists():
        storage.remove(sha256)


def event_data(frozen: FrozenPack) -> dict[str, str | int]:
    """Return the data about a pack for events of its print."""
    return {"pack": str(frozen.key), "revision": frozen.revision, "digest": frozen.digest}


def give_up(digest: str, says: str) -> None:
    """Note that the pack with this digest is not printed, because its worker always stopped."""
    for frozen in FrozenPack.objects.select_related("application").filter(digest=digest):
        note_fault(frozen, says)

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
from sites.packs.reading.packs import pack_of

TO_PRINT = Q(pdf_sha256="", personal__isnull=False)
"""Not printed yet, and not erased."""


def print_frozen(digest: str) -> str:
    """Print the pack with this digest, unless printed or erased; return the PDF's digest.

    The worker may run it repeatedly: only one print is noted. Takes 1 to 5 s. Notes a failure for
    the page, and raises it.
    """
    frozen = FrozenPack.objects.select_related("personal", "application").get(digest=digest)
    if frozen.pdf_sha256 or frozen.personal is None:
        return frozen.pdf_sha256
    try:
        content = render_frozen(pack_of(frozen))
    except (PrintError, PackError, FileGoneError) as fault:
        note_fault(frozen, str(fault))
        raise
    except Exception:
        note_fault(frozen, "Something in the program failed; its log says what.")
        raise
    sha256 = storage.store(content)
    if not _note_print(frozen, sha256):
        _forget(sha256)
    return sha256


def render_frozen(pack: Pack) -> bytes:
    """Return the PDF of frozen content, with its files from the store.

    Raises PrintError, PackError, or FileGoneError if an attachment is not in the store.
    """
    from connections.documents.render import render

    files = {file.sha256: storage.stored(file.sha256) for file in pack.technical.attachments}
    return render(pack, files)


def printed_again(digest: str) -> dict[str, str | bool]:
    """Render the content of a printed pack again and compare; stores nothing."""
    frozen = FrozenPack.objects.select_related("personal").get(digest=digest)
    if frozen.personal is None:
        return {"same": False, "fault": "The personal part was erased; it can't be printed again."}
    try:
        content = render_frozen(pack_of(frozen))
    except (PrintError, PackError, FileGoneError) as fault:
        return {"same": False, "fault": str(fault)}
    sha256 = storage.digest_of(content)
    return {"same": sha256 == frozen.pdf_sha256, "sha256": sha256, "fault": ""}


@transaction.atomic
def note_fault(pack: FrozenPack, says: str) -> None:
    """Note why a print failed, for the pack's page."""
    noted = FrozenPack.objects.filter(TO_PRINT, pk=pack.pk).update(print_fault=says[:300])
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
    if not FrozenPack.objects.filter(pdf_sha256=sha256, personal__isnull=False).exists():
        storage.remove(sha256)


def event_data(frozen: FrozenPack) -> dict[str, str | int]:
    """Return the data about a pack for events of its print."""
    return {"pack": str(frozen.key), "revision": frozen.revision, "digest": frozen.digest}


def give_up(digest: str, says: str) -> None:
    """Note that the pack with this digest is not printed, because its worker always stopped."""
    for frozen in FrozenPack.objects.select_related("application").filter(digest=digest):
        note_fault(frozen, says)

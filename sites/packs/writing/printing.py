"""Printing frozen packs in the worker: written aside, renamed to its hash, then noted."""

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from connections.documents.faults import PrintError
from connections.pack.content import Pack
from connections.pack.faults import PackError
from sites.house import storage
from sites.house.storage import FileGoneError
from sites.house.writing.events import record
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import pack_of

TO_PRINT = Q(pdf_sha256="", personal__isnull=False)
"""Not printed yet, and not erased meanwhile."""


def print_frozen(digest: str) -> str:
    """Print the pack with this digest, unless it is printed or erased; returns the PDF's digest.

    Run by the worker, as often as need be: only one print is noted. Costs 1 to 5 s. A failure is
    noted for the page to say, and raised.
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
    """The PDF of frozen content, with its files from the store.

    Raises PrintError, PackError, or FileGoneError where an attachment is not in the store.
    """
    from connections.documents.render import render

    files = {file.sha256: storage.stored(file.sha256) for file in pack.technical.attachments}
    return render(pack, files)


def printed_again(digest: str) -> dict[str, str | bool]:
    """Render the frozen content of a printed pack once more and compare; nothing is kept."""
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
    """Note why a print failed, for the page of the pack to say."""
    noted = FrozenPack.objects.filter(TO_PRINT, pk=pack.pk).update(print_fault=says[:300])
    if noted:
        record("pack.print-failed", by=None, subject=pack.application, data=event_data(pack))


@transaction.atomic
def _note_print(frozen: FrozenPack, sha256: str) -> bool:
    """Note the file of a print; whether it was the first, of a pack that still is to be printed."""
    noted = FrozenPack.objects.filter(TO_PRINT, pk=frozen.pk).update(
        pdf_sha256=sha256, printed_at=timezone.now(), print_fault=""
    )
    if noted:
        data = {**event_data(frozen), "pdf_sha256": sha256}
        record("pack.printed", by=None, subject=frozen.application, data=data)
    return bool(noted)


def _forget(sha256: str) -> None:
    """Take a print out again that nobody waits for any more."""
    if not FrozenPack.objects.filter(pdf_sha256=sha256, personal__isnull=False).exists():
        storage.remove(sha256)


def event_data(frozen: FrozenPack) -> dict[str, str | int]:
    """What an event of a print says of its pack."""
    return {"pack": str(frozen.key), "revision": frozen.revision, "digest": frozen.digest}


def give_up(digest: str, says: str) -> None:
    """Note that the pack with this digest is not printed, since its worker stopped each time."""
    for frozen in FrozenPack.objects.select_related("application").filter(digest=digest):
        note_fault(frozen, says)

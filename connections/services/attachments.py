"""Files that go with an application: taken in, listed in the pack, and left out again."""

import json
import subprocess
import sys
import unicodedata
from pathlib import Path

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone
from msgspec import Struct

from connections import examining, storage
from connections.models import ApplicationLine, Attachment
from connections.services.refusals import RefusedError
from connections.services.versions import raise_version
from sites.models import Person
from sites.services.events import record

MOST_FILES = 20
MOST_BYTES_OF_A_LINE = 40_000_000
"""What one line's files may weigh together: a pack carries them all."""
_ENDINGS = {
    "application/pdf": ".pdf",
    "image/png": ".png",
    "image/jpeg": ".jpg",
    "text/csv": ".csv",
}
_WAIT_S = 30


class Upload(Struct, frozen=True):
    """A file that was looked into: its safe name, what it is, and the bytes to keep."""

    name: str
    title: str
    media_type: str
    content: bytes
    pages: int


def examine(*, name: str, content: bytes, title: str = "") -> Upload:
    """Look into a file that somebody sent, in a process of its own; touches no row.

    A picture is drawn anew from its pixels. Raises RefusedError naming the box `file`.
    """
    if not content:
        raise RefusedError("The file is empty. Choose another one.", "file")
    if len(content) > examining.MOST_BYTES:
        raise RefusedError(too_large(len(content)), "file")
    try:
        done = subprocess.run(
            [sys.executable, "-I", str(Path(examining.__file__))],
            input=content,
            capture_output=True,
            timeout=_WAIT_S,
            check=False,
        )
    except subprocess.TimeoutExpired:
        done = None
    if done is None or done.returncode:
        raise RefusedError(
            "The file can't be looked through. Print it to a new PDF and attach that one.", "file"
        )
    head, _, picture = done.stdout.partition(b"\n")
    told = json.loads(head)
    if refused := told.get("refused"):
        raise RefusedError(refused, "file")
    return Upload(
        name=safe_name(name, told["media_type"]),
        title=" ".join(title.split())[:200],
        media_type=told["media_type"],
        content=picture or content,
        pages=told["pages"],
    )


def too_large(size_bytes: int) -> str:
    """What to say of a file, or of a whole post, that weighs too much."""
    most = examining.MOST_BYTES // 1_000_000
    return (
        f"The file has {size_bytes / 1_000_000:.1f} MB; {most} MB are the most. Save it smaller, "
        "or attach the pages that matter."
    )


def safe_name(name: str, media_type: str) -> str:
    """The name without folders and without characters that are not seen, ending as the content
    wants."""
    base = name.replace("\\", "/").rpartition("/")[2]
    seen = "".join(c for c in base if unicodedata.category(c)[0] != "C")
    ending = _ENDINGS[media_type]
    stem = " ".join(seen.split())
    for known in (*_ENDINGS.values(), ".jpeg"):
        if stem.lower().endswith(known):
            stem = stem[: -len(known)]
            break
    return f"{stem.strip('. ')[:150] or 'file'}{ending}"


@transaction.atomic
def add_attachment(*, line: ApplicationLine, upload: Upload, by: Person) -> Attachment:
    """Attach a file to a line of an application; the same file again is the one already there.

    Its bytes are on disk before the row commits. Raises RefusedError over the line's caps.
    """
    raise_version(line)
    sha256 = storage.store(upload.content)
    there = line.attachments.filter(taken_out_at__isnull=True)
    if same := there.filter(sha256=sha256).first():
        return same
    weight = there.aggregate(all=Sum("size_bytes"))["all"] or 0
    if there.count() >= MOST_FILES or weight + len(upload.content) > MOST_BYTES_OF_A_LINE:
        raise RefusedError(
            f"There are as many files as a pack can carry ({MOST_FILES} files, "
            f"{MOST_BYTES_OF_A_LINE // 1_000_000} MB). Take one out first.",
            "file",
        )
    attachment = Attachment.objects.create(
        line=line,
        sha256=sha256,
        name=upload.name,
        title=upload.title,
        media_type=upload.media_type,
        size_bytes=len(upload.content),
        pages=upload.pages,
        added_by=by,
        added_at=timezone.now(),
    )
    record("attachment.added", by=by, subject=line.application, data=_data(attachment))
    return attachment


@transaction.atomic
def take_out_attachment(*, attachment: Attachment, by: Person) -> None:
    """Leave a file out of later packs; issued packs keep it, and so does the store.

    Raises RefusedError for the operator's agreement that a decision rests on.
    """
    raise_version(attachment.line)
    # Locked, so that no agreement is entered on it in the same moment.
    row = Attachment.objects.select_for_update().get(pk=attachment.pk)
    if row.taken_out_at is not None:
        return
    if attachment.line.verdicts.filter(operator_file=row).exists():
        raise RefusedError(
            "This file is the operator's agreement that a decision rests on; it stays."
        )
    Attachment.objects.filter(pk=row.pk).update(taken_out_at=timezone.now())
    record(
        "attachment.taken-out", by=by, subject=attachment.line.application, data=_data(attachment)
    )


def _data(attachment: Attachment) -> dict[str, str | int]:
    """The name may hold a customer's; the digest says which file it was."""
    return {
        "attachment": str(attachment.key),
        "sha256": attachment.sha256,
        "media_type": attachment.media_type,
        "size_bytes": attachment.size_bytes,
    }

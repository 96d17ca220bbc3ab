"""Adds files to an application, and leaves them out of later packs."""

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from sites.cases.models import Case
from sites.cases.writing import raise_version
from sites.house import storage
from sites.house.refusals import RefusedError
from sites.house.uploads import Upload
from sites.house.writing.events import record
from sites.people.models import Person
from sites.review.models import Attachment

# 2026-11-25: both caps are our choice.
MOST_FILES = 20
MOST_BYTES_OF_A_LINE = 40_000_000
"""Most bytes of one case's files together, because a pack carries them all."""


@transaction.atomic
def add_attachment(*, case: Case, upload: Upload, by: Person, kind: str = "") -> Attachment:
    """Attach a file to a case of an application; the same file returns the existing row.

    The bytes are on disk before the row commits. Raises RefusedError above the case's caps.
    """
    raise_version(case)
    sha256 = storage.store(upload.content)
    there = case.attachments.filter(taken_out_at__isnull=True)
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
        case=case,
        sha256=sha256,
        name=upload.name,
        title=upload.title,
        kind=kind,
        media_type=upload.media_type,
        size_bytes=len(upload.content),
        pages=upload.pages,
        added_by=by,
        added_at=timezone.now(),
    )
    record("attachment.added", by=by, subject=case.application, data=_data(attachment))
    return attachment


@transaction.atomic
def take_out_attachment(*, attachment: Attachment, by: Person) -> None:
    """Leave a file out of later packs; issued packs and the store keep it.

    Raises RefusedError for an operator's agreement that a decision rests on.
    """
    raise_version(attachment.case)
    # Locked, so that nobody enters an agreement on it at the same moment.
    row = Attachment.objects.select_for_update().get(pk=attachment.pk)
    if row.taken_out_at is not None:
        return
    if attachment.case.verdicts.filter(operator_file=row).exists():
        raise RefusedError(
            "This file is the operator's agreement that a decision rests on; it stays."
        )
    Attachment.objects.filter(pk=row.pk).update(taken_out_at=timezone.now())
    record(
        "attachment.taken-out", by=by, subject=attachment.case.application, data=_data(attachment)
    )


def _data(attachment: Attachment) -> dict[str, str | int]:
    """Leave out the file name: it may name a customer, and the digest identifies the file."""
    return {
        "attachment": str(attachment.key),
        "sha256": attachment.sha256,
        "media_type": attachment.media_type,
        "size_bytes": attachment.size_bytes,
    }

"""The files that go with a line of an application."""

from collections.abc import Iterable

from sites.premises.models import ApplicationLine
from sites.review.models import Attachment


def files_of(line: ApplicationLine) -> Iterable[Attachment]:
    """The files that go with a line, oldest first; those taken out are left out."""
    return line.attachments.filter(taken_out_at__isnull=True).select_related("added_by")

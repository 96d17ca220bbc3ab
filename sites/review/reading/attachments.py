"""Files of a line of an application."""

from collections.abc import Iterable

from sites.premises.models import ApplicationLine
from sites.review.models import Attachment


def files_of(line: ApplicationLine) -> Iterable[Attachment]:
    """Return the files of a line, oldest first, without those taken out."""
    return line.attachments.filter(taken_out_at__isnull=True).select_related("added_by")

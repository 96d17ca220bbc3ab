"""Files of a case of an application."""

from collections.abc import Iterable

from sites.cases.models import Case
from sites.review.models import Attachment


def files_of(case: Case) -> Iterable[Attachment]:
    """Return the files of a case, oldest first, without those taken out."""
    return case.attachments.filter(taken_out_at__isnull=True).select_related("added_by")

"""Values that the firm has read: for deciding, and as a list."""

from django.utils import timezone
from msgspec import Struct

from connections.rulebook.telling import day_in_words
from connections.rulebook.verifying import names_in
from sites.rulebook.models import ValueReading
from sites.rulebook.reading.place import Shelf


class ListedReading(Struct, frozen=True):
    """A value that was read; `counts` says that a value of some rulebook is still equal to it."""

    row: ValueReading
    on: str
    counts: bool


def listed_readings(files: Shelf) -> tuple[ListedReading, ...]:
    """Return what was read and not taken back, by document; one query."""
    names = {name for part in files.parts() for name in names_in(part)}
    rows = ValueReading.objects.filter(taken_back_at__isnull=True).select_related("read_by")
    return tuple(
        ListedReading(
            row=row,
            on=day_in_words(timezone.localdate(row.read_at)),
            counts=(row.document, row.edition, row.about, row.value_digest) in names,
        )
        for row in rows
    )

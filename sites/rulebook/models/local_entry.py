"""The firm's local entries: entered once, ended once, never changed."""

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from sites.house.models.base import Keyed

VALUE = "value"
EXPORT_CAP = "export-cap"
CONDITION = "condition"
KINDS = (VALUE, EXPORT_CAP, CONDITION)


class NeverChangedError(RuntimeError):
    """Raised when code changes or deletes a row that may only be added and ended."""


class Entries(models.QuerySet["LocalEntry"]):
    """Local entries; never deleted, only ended by `rulebook.writing.local_entries`."""

    def delete(self) -> tuple[int, dict[str, int]]:
        """Refuse to delete: an entry is ended and its row stays."""
        raise NeverChangedError("a local entry is ended, never deleted")


class LocalEntry(Keyed):
    """A value, a cap on export or an extra condition that the firm entered.

    `area` is a licence area's id, or empty for the whole firm. `about` is the rulebook's key of a
    value, or the id of a cap or condition. `content` holds the other keys of the entry as a local
    file writes them (says, unit, value, ...). `document` and `clause` name the source; `source`
    holds its register entry where the register has none. The entry holds from `since` to `until`,
    both included. `until` before `since` means that it was ended before it ever held.
    """

    area = models.CharField(max_length=20, blank=True)
    kind = models.CharField(max_length=20, choices=[(kind, kind) for kind in KINDS])
    about = models.CharField(max_length=100)
    content = models.JSONField()
    document = models.CharField(max_length=100)
    source = models.JSONField(default=dict)
    clause = models.CharField(max_length=300, blank=True)
    certainty = models.CharField(max_length=20)
    note = models.TextField(blank=True)
    since = models.DateField()
    until = models.DateField(null=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField()
    reason = models.TextField()
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    ended_at = models.DateTimeField(null=True)
    end_reason = models.TextField(blank=True)

    objects = Entries.as_manager()

    class Meta:
        ordering = ("area", "kind", "about", "since", "pk")
        indexes = (models.Index(fields=("area", "kind", "about"), name="local_entry_of_thing"),)
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=KINDS), name="local_entry_of_known_kind"),
            models.CheckConstraint(condition=~Q(reason=""), name="local_entry_has_reason"),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_by__isnull=True, end_reason="")
                | Q(ended_at__isnull=False, ended_by__isnull=False, until__isnull=False)
                & ~Q(end_reason=""),
                name="local_entry_ended_whole",
            ),
        )

    def __str__(self) -> str:
        return f"{self.about} ({self.area or 'the firm'})"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Insert the row; refuse to write an existing one again."""
        if not self._state.adding:
            raise NeverChangedError("a local entry is never changed; end it and enter another")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse to delete: an entry is ended and its row stays."""
        raise NeverChangedError("a local entry is ended, never deleted")


class LocalStamp(models.Model):
    """The single row whose stamp changes with every entry, every end and every reading of a value.

    The process caches what it reads from them under this stamp. Writers lock the
    row, so that the second of two at once sees what the first entered.
    """

    stamp = models.UUIDField(default=uuid.uuid4)

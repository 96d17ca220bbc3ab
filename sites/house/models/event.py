"""The audit log: one row for each act, never changed, never deleted."""

from typing import Any, NoReturn

from django.core.exceptions import PermissionDenied
from django.db import models

from sites.house.models.base import Keyed


class EventQuerySet(models.QuerySet["Event"]):
    """Refuses to change or delete what is logged."""

    def update(self, **_fields: object) -> NoReturn:
        """Raises PermissionDenied."""
        raise PermissionDenied("Events are never changed.")

    def delete(self) -> NoReturn:
        """Raises PermissionDenied."""
        raise PermissionDenied("Events are never deleted.")


class Event(Keyed):
    """Who did what to what, and when.

    Names the actor and the subject as text and by key, with no foreign key, so it outlives both.
    `data` holds what changed without personal values: those are named by field only.
    """

    at = models.DateTimeField(db_index=True)
    act = models.CharField(max_length=60)
    actor = models.CharField(max_length=200)
    actor_key = models.UUIDField(null=True)
    subject_kind = models.CharField(max_length=40)
    subject_key = models.UUIDField(db_index=True)
    subject = models.CharField(max_length=300)
    data = models.JSONField(default=dict)

    objects = EventQuerySet.as_manager()

    class Meta:
        ordering = ("-at", "-pk")

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save once. Raises PermissionDenied when the row is there already."""
        if not self._state.adding:
            raise PermissionDenied("Events are never changed.")
        super().save(*args, **kwargs)

    def delete(self, *_args: object, **_kwargs: object) -> NoReturn:
        """Raises PermissionDenied."""
        raise PermissionDenied("Events are never deleted.")

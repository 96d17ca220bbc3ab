"""What the firm's engineers have read in documents and agree with."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from sites.house.models.base import Keyed


class ValueReading(Keyed):
    """A value of the rulebook that an engineer read in its document, and agrees with.

    `document` and `edition` name the document, `about` the key of the value, and `value_digest`
    what was read (`rulebook.verifying`). It counts while a value is equal to that. `title` and
    `amount` are the words of the page that it was ticked on. A row is never changed but for being
    taken back.
    """

    document = models.CharField(max_length=100)
    edition = models.CharField(max_length=200, blank=True)
    about = models.CharField(max_length=100)
    value_digest = models.CharField(max_length=64)
    title = models.CharField(max_length=400)
    amount = models.TextField()
    read_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    read_at = models.DateTimeField()
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    taken_back_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("title", "about", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("document", "edition", "about", "value_digest"),
                condition=Q(taken_back_at__isnull=True),
                name="value_read_once",
            ),
            models.CheckConstraint(
                condition=Q(taken_back_at__isnull=True, taken_back_by__isnull=True)
                | Q(taken_back_at__isnull=False, taken_back_by__isnull=False),
                name="value_reading_taken_back_whole",
            ),
        )

    def __str__(self) -> str:
        return self.about

"""Work of the operator on its network that a case waits for."""

from django.conf import settings
from django.db import models

from sites.house.models.base import Keyed

WHICH = (
    ("unlooping", "Unlooping of the service"),
    ("fuse", "Change of the cut-out fuse"),
    ("three-phase", "A three-phase supply"),
    ("other", "Other work"),
)


class Works(Keyed):
    """A job of the operator, with its days. Until it is done, nothing is energised."""

    case = models.ForeignKey("sites.Case", on_delete=models.CASCADE, related_name="works")
    kind = models.CharField(max_length=20, choices=WHICH)
    words = models.CharField(max_length=500, blank=True)
    reference = models.CharField(max_length=200, blank=True)
    asked_on = models.DateField()
    planned_on = models.DateField(null=True)
    done_on = models.DateField(null=True)
    dropped_at = models.DateTimeField(null=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ("asked_on", "pk")

"""A question to the operator on what its record shows of plant that was found."""

from django.conf import settings
from django.db import models

from sites.house.models.base import Keyed

AS_FOUND, NEVER, OTHERWISE = "as-found", "never", "otherwise"
OUTCOMES = (
    (AS_FOUND, "It records the plant as found"),
    (NEVER, "It was never told of this plant"),
    (OTHERWISE, "It has put its record right"),
)


class RecordQuery(Keyed):
    """A query on the operator's record of existing plant; the case waits until it is answered.

    `recorded` is what the record is known to show, empty for nothing. The letter is made of the
    facts each time, and stands in no row.
    """

    case = models.ForeignKey("sites.Case", on_delete=models.CASCADE, related_name="record_queries")
    recorded = models.TextField(blank=True)
    asked_on = models.DateField()
    answered_on = models.DateField(null=True)
    outcome = models.CharField(max_length=20, choices=OUTCOMES, blank=True)
    answer = models.TextField(blank=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ("asked_on", "pk")

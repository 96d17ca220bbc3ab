"""Operator's answers to an application, as received."""

from django.conf import settings
from django.db import models

from sites.house.models.base import Keyed

AGREED, REFUSED = "agreed", "refused"
CAP_EXPORT, CAP_INSTALLED, CONDITION = "cap-export", "cap-installed", "condition"

KINDS = (
    (AGREED, "It agrees as asked"),
    (CAP_EXPORT, "It caps export"),
    (CAP_INSTALLED, "It caps installed capacity"),
    (CONDITION, "It sets a condition"),
    (REFUSED, "It refuses"),
)


class Reply(Keyed):
    """One answer of the operator to one case of an application.

    `written` is the figure as the operator wrote it; `value` is the same in mA, W or VA by `basis`.
    `split_equally` says whether each phase may carry only its share of a total. A cap is also a
    fact of the premises (`cap`), where the rules read it. Never changed: an answer entered by
    mistake is taken back.
    """

    case = models.ForeignKey("sites.Case", on_delete=models.CASCADE, related_name="replies")
    kind = models.CharField(max_length=20, choices=KINDS)
    written = models.CharField(max_length=60, blank=True)
    value = models.PositiveBigIntegerField(null=True)
    basis = models.CharField(max_length=20, blank=True)
    split_equally = models.BooleanField(null=True)
    words = models.TextField(blank=True)
    reference = models.CharField(max_length=200, blank=True)
    received_on = models.DateField()
    valid_until = models.DateField(null=True)
    cap = models.ForeignKey("sites.Cap", on_delete=models.SET_NULL, null=True, related_name="+")
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField()
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    taken_back_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("entered_at", "pk")

"""The engineer's review: verdicts on findings, and questions sent back to the office."""

from django.conf import settings
from django.db import models

from sites.house.models.base import Keyed

DECIDED = "decided"
OPERATOR_AGREED = "operator-agreed"


class Verdict(Keyed):
    """An engineer's decision on one finding, with its reason; `way` where the finding has ways.

    It counts only while the finding's basis (digest of the facts it read) is the same. Only the
    operator's written agreement answers a finding that stops: reference, date and file. Never
    changed: a later verdict on the same finding replaces it.
    """

    case = models.ForeignKey("sites.Case", on_delete=models.CASCADE, related_name="verdicts")
    finding = models.CharField(max_length=60)
    subject = models.CharField(max_length=200)
    basis = models.CharField(max_length=64)
    kind = models.CharField(
        max_length=20, choices=[(DECIDED, DECIDED), (OPERATOR_AGREED, OPERATOR_AGREED)]
    )
    reason = models.TextField()
    way = models.CharField(max_length=40, blank=True)
    operator_reference = models.CharField(max_length=200, blank=True)
    operator_date = models.DateField(null=True)
    operator_file = models.ForeignKey(
        "sites.Attachment", on_delete=models.PROTECT, null=True, related_name="+"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("at", "pk")


class Question(Keyed):
    """A question to the office on a finding; stays on the work list until answered."""

    case = models.ForeignKey("sites.Case", on_delete=models.CASCADE, related_name="questions")
    finding = models.CharField(max_length=60)
    subject = models.CharField(max_length=200)
    text = models.TextField()
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    asked_at = models.DateTimeField()
    answer = models.TextField(blank=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    answered_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("asked_at", "pk")

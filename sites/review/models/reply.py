"""Operator's answers to an application, as received, and the conditions in them."""

from django.conf import settings
from django.db import models

from sites.house.models.base import Keyed

AGREED, CONDITION, OFFER = "agreed", "condition", "offer"
CAP_EXPORT, CAP_INSTALLED = "cap-export", "cap-installed"
STUDY, WANTED, REFUSED = "study", "wanted", "refused"

KINDS = (
    (AGREED, "It agrees as asked"),
    (CONDITION, "It agrees with conditions"),
    (OFFER, "It makes an offer with a charge"),
    (CAP_EXPORT, "It caps export"),
    (CAP_INSTALLED, "It caps installed capacity"),
    (STUDY, "It studies the network first"),
    (WANTED, "It wants more information"),
    (REFUSED, "It refuses"),
)
SETTLING = (AGREED, CONDITION, OFFER, CAP_EXPORT, CAP_INSTALLED)
"""Answers that agree to something, at once or once accepted."""

BEFORE_INSTALL, BEFORE_ENERGISING, AFTER = "before-install", "before-energising", "after"
WHEN = (
    (BEFORE_INSTALL, "Before installing"),
    (BEFORE_ENERGISING, "Before energising"),
    (AFTER, "After the work"),
)


class Reply(Keyed):
    """One answer of the operator to one case of an application.

    `written` is the figure as the operator wrote it; `value` is the same in mA, W or VA by `basis`.
    `split_equally` says whether each phase may carry only its share of a total. A cap is also a
    fact of the premises (`cap`), where the rules read it. `valid_until` is the last day of an offer
    or agreement; of a study the day of the answer, of wanted information the day by which it is
    wanted. An offer accepted carries the day of that and, where it has one, its agreement's last
    day. What came is never changed: an answer entered by mistake is taken back. Packs do not carry
    `file`.
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
    charge_pence = models.PositiveBigIntegerField(null=True)
    file = models.ForeignKey(
        "sites.Attachment", on_delete=models.PROTECT, null=True, related_name="+"
    )
    cap = models.ForeignKey("sites.Cap", on_delete=models.SET_NULL, null=True, related_name="+")
    accepted_on = models.DateField(null=True)
    agreed_until = models.DateField(null=True)
    paid_on = models.DateField(null=True)
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


class Condition(Keyed):
    """One condition of an answer, and when it was met. Until then it holds up the act of `when`."""

    reply = models.ForeignKey(Reply, on_delete=models.CASCADE, related_name="conditions")
    when = models.CharField(max_length=20, choices=WHEN)
    text = models.TextField()
    met_on = models.DateField(null=True)
    met_note = models.TextField(blank=True)
    met_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ("pk",)

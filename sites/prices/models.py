"""Prices and rates of VAT of the firm, what a cost rests on, and choices with their frozen cost."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from connections.prices.price_list import KINDS, VATS
from sites.house.models.base import Keyed, choices

CURRENCY = "GBP"


class _Dated(Keyed):
    """Holds from a day on, to a last day where it is ended; never changed otherwise."""

    source = models.CharField(max_length=200)
    starts = models.DateField()
    ends = models.DateField(null=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    entered_at = models.DateTimeField()
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    ended_at = models.DateTimeField(null=True)

    class Meta:
        abstract = True
        ordering = ("pk",)


class Price(_Dated):
    """A price without VAT, in minor units; `connections.prices.price_list.Price` says the rest.

    A price that ends the day before it starts never held.
    """

    kind = models.CharField(max_length=20, choices=choices(*KINDS))
    label = models.CharField(max_length=200)
    maker = models.CharField(max_length=200, blank=True)
    model = models.CharField(max_length=200, blank=True)
    size = models.PositiveBigIntegerField(null=True)
    usual = models.PositiveIntegerField(default=0)
    minor = models.PositiveBigIntegerField()
    currency = models.CharField(max_length=3, default=CURRENCY)
    vat = models.CharField(max_length=10, choices=choices(*VATS))

    def __str__(self) -> str:
        return self.label


class VatRate(_Dated):
    """A rate of VAT in hundredths of a percent, for one class."""

    vat = models.CharField(max_length=10, choices=choices(*VATS))
    rate = models.PositiveIntegerField()

    def __str__(self) -> str:
        return f"VAT, {self.vat} rate"


class CostBasis(Keyed):
    """What a person says for the cost of a design; the latest row counts, none changes.

    `amounts` has hundredths by the label of a price. The rest are figures of a certification
    scheme, each None where there is none: what a year makes and the house uses of it [kWh], and
    what that saves [minor units]; `method` names the scheme's method.
    """

    design = models.ForeignKey("sites.Design", on_delete=models.CASCADE, related_name="cost_bases")
    amounts = models.JSONField(default=dict)
    method = models.CharField(max_length=200, blank=True)
    made_kwh = models.PositiveIntegerField(null=True)
    used_kwh = models.PositiveIntegerField(null=True)
    saves_minor = models.PositiveBigIntegerField(null=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.CheckConstraint(
                condition=~Q(method="")
                | Q(made_kwh__isnull=True, used_kwh__isnull=True, saves_minor__isnull=True),
                name="cost_basis_figures_with_method",
            ),
            models.CheckConstraint(
                condition=Q(used_kwh__isnull=True)
                | Q(made_kwh__isnull=True)
                | Q(used_kwh__lte=F("made_kwh")),
                name="cost_basis_uses_no_more_than_made",
            ),
        )

    @property
    def has_figures(self) -> bool:
        """Whether a figure of a scheme is entered."""
        return any(each is not None for each in (self.made_kwh, self.used_kwh, self.saves_minor))


class Choice(Keyed):
    """Which design of a case is chosen, when, by whom and why; the latest row counts.

    `cost` freezes the `connections.prices.costing.Cost` of that day; None where the design could
    not be read.
    """

    case = models.ForeignKey("sites.Case", on_delete=models.CASCADE, related_name="choices")
    design = models.ForeignKey("sites.Design", on_delete=models.PROTECT, related_name="choices")
    by_whom = models.CharField(max_length=10, choices=choices("customer", "firm"))
    on = models.DateField()
    why = models.CharField(max_length=500, blank=True)
    cost = models.JSONField(null=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ("pk",)

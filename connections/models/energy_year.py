"""What the energy year of a premises rests on, and the year of each design as it was worked out."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from sites.models.base import Keyed


class EnergyInputs(Keyed):
    """What somebody entered for the years of a premises; the latest row counts, none is changed.

    `region` is the number of a region of the published monthly means. `measured_yield_kwh` is what
    panels with the peak `measured_peak_w` gave in a year at AC; both or neither.
    """

    premises = models.ForeignKey(
        "sites.Premises", on_delete=models.CASCADE, related_name="energy_inputs"
    )
    region = models.PositiveSmallIntegerField()
    yearly_use_kwh = models.PositiveIntegerField()
    measured_yield_kwh = models.PositiveIntegerField(null=True)
    measured_peak_w = models.PositiveIntegerField(null=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ("-pk",)
        constraints = (
            models.CheckConstraint(
                condition=Q(measured_yield_kwh__isnull=True, measured_peak_w__isnull=True)
                | Q(
                    measured_yield_kwh__isnull=False,
                    measured_peak_w__isnull=False,
                    measured_peak_w__gt=0,
                ),
                name="energy_inputs_yield_with_peak",
            ),
        )


class DesignYear(models.Model):
    """The latest year that was asked for a design.

    `asked` holds all that it follows from (connections.energy.asked.YearAsked), `digest` tells it
    from any other. With `done_at` there is a `result` (connections.energy.result.EnergyYear), or a
    `fault` in words.
    """

    design = models.OneToOneField(
        "sites.Design", on_delete=models.CASCADE, related_name="energy_year"
    )
    digest = models.CharField(max_length=64)
    asked = models.JSONField()
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    asked_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True)
    result = models.JSONField(null=True)
    fault = models.CharField(max_length=500, blank=True)

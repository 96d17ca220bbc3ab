"""Inputs of a premises' energy years."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from sites.house.models.base import Keyed


class EnergyFile(Keyed):
    """An uploaded CSV file of a premises; its bytes are stored under their SHA-256.

    `kind` says what it holds. `clock`, `stamps` and `unit` say how to read it, in the words of
    connections.energy's readers. It was read whole in this way before the row was made.
    """

    premises = models.ForeignKey(
        "sites.Premises", on_delete=models.CASCADE, related_name="energy_files"
    )
    kind = models.CharField(
        max_length=10, choices=[("meter", "meter readings"), ("irradiance", "irradiance")]
    )
    sha256 = models.CharField(max_length=64)
    name = models.CharField(max_length=200)
    size_bytes = models.PositiveBigIntegerField()
    clock = models.CharField(max_length=5)
    stamps = models.CharField(max_length=5)
    unit = models.CharField(max_length=3, blank=True)
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    added_at = models.DateTimeField()

    class Meta:
        ordering = ("-pk",)


class EnergyInputs(Keyed):
    """Inputs that somebody entered for a premises' years; the latest row counts, none changes.

    `region` is the number of a region of the published monthly means. Use is `yearly_use_kwh` in a
    standard shape, or that of `meter_file`. `measured_yield_kwh` is the AC yield in a year of
    panels with the peak `measured_peak_w`; both or neither. Windows are minutes after midnight in
    local time, with both ends or neither. Prices are in pence/kWh, `standing_pence` in pence/day.
    `import_hours` and `export_hours` hold further prices of some hours of the day: lists of first
    minute, last minute and pence/kWh as text.
    """

    premises = models.ForeignKey(
        "sites.Premises", on_delete=models.CASCADE, related_name="energy_inputs"
    )
    region = models.PositiveSmallIntegerField()
    yearly_use_kwh = models.PositiveIntegerField(null=True)
    measured_yield_kwh = models.PositiveIntegerField(null=True)
    measured_peak_w = models.PositiveIntegerField(null=True)
    meter_file = models.ForeignKey(
        EnergyFile, on_delete=models.PROTECT, null=True, related_name="+"
    )
    irradiance_file = models.ForeignKey(
        EnergyFile, on_delete=models.PROTECT, null=True, related_name="+"
    )
    step_minutes = models.PositiveSmallIntegerField(default=30)
    cheap_from_minute = models.PositiveSmallIntegerField(null=True)
    cheap_to_minute = models.PositiveSmallIntegerField(null=True)
    sell_from_minute = models.PositiveSmallIntegerField(null=True)
    sell_to_minute = models.PositiveSmallIntegerField(null=True)
    import_pence = models.DecimalField(max_digits=7, decimal_places=2, null=True)
    export_pence = models.DecimalField(max_digits=7, decimal_places=2, null=True)
    cheap_pence = models.DecimalField(max_digits=7, decimal_places=2, null=True)
    sell_pence = models.DecimalField(max_digits=7, decimal_places=2, null=True)
    import_hours = models.JSONField(default=list)
    export_hours = models.JSONField(default=list)
    standing_pence = models.DecimalField(max_digits=7, decimal_places=2, null=True)
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
            models.CheckConstraint(
                condition=Q(yearly_use_kwh__isnull=True, meter_file__isnull=False)
                | Q(yearly_use_kwh__isnull=False, meter_file__isnull=True),
                name="energy_inputs_one_use",
            ),
            models.CheckConstraint(
                condition=Q(cheap_from_minute__isnull=True, cheap_to_minute__isnull=True)
                | Q(cheap_from_minute__isnull=False, cheap_to_minute__isnull=False),
                name="energy_inputs_cheap_both_ends",
            ),
            models.CheckConstraint(
                condition=Q(sell_from_minute__isnull=True, sell_to_minute__isnull=True)
                | Q(sell_from_minute__isnull=False, sell_to_minute__isnull=False),
                name="energy_inputs_sell_both_ends",
            ),
        )

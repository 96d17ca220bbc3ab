"""Plant: units, what sits behind them, boards, protection, cables, loads, clamps and limits.

A row without a design is existing plant of the premises; a row with one is proposed by it. Names,
units and words are those of the site file; null means not known.
"""

from typing import get_args

from django.db import models

from connections.facts.site import (
    BreakerType,
    ClampDirection,
    ClampLink,
    ClampPlace,
    LoadKind,
    PanelElectronics,
    Phase,
    Tap,
)
from sites.catalogue.models import Certified
from sites.house.models.base import Keyed, choices


class _Plant(Keyed):
    """Belongs to a premises, and to a design if proposed; `place` keeps the typed order."""

    premises = models.ForeignKey("sites.Premises", on_delete=models.CASCADE)
    design = models.ForeignKey("sites.Design", on_delete=models.CASCADE, null=True)
    place = models.PositiveIntegerField(default=0)

    class Meta:
        abstract = True
        ordering = ("place", "pk")


class _Dated(models.Model):
    """Commissioned on a day or in a month: the first and the last day that it can have been.

    Without a last day the first is the day itself.
    """

    commissioned_on = models.DateField(null=True)
    commissioned_to = models.DateField(null=True)

    class Meta:
        abstract = True


class Unit(Certified, _Plant, _Dated):
    """A line of like generating units; ratings are those of one unit."""

    label = models.CharField(max_length=60)
    kind = models.CharField(
        max_length=20, choices=choices("inverter", "synchronous", "asynchronous"), blank=True
    )
    source = models.CharField(
        max_length=20,
        choices=choices("pv", "storage", "pv+storage", "wind", "hydro", "chp", "vehicle", "other"),
    )
    maker = models.CharField(max_length=200, blank=True)
    model = models.CharField(max_length=200, blank=True)
    quantity = models.PositiveIntegerField(null=True)
    rated_w = models.PositiveBigIntegerField(null=True)
    design_w = models.PositiveBigIntegerField(null=True)
    rated_va = models.PositiveBigIntegerField(null=True)
    rated_ma = models.PositiveBigIntegerField(null=True)
    q_var = models.BigIntegerField(null=True)
    phases = models.CharField(max_length=8)
    planned_on = models.DateField(null=True)
    limited_by = models.CharField(
        max_length=10, choices=choices("maker", "software", "none"), blank=True
    )
    plugged_in = models.BooleanField(null=True)
    can_island = models.BooleanField(null=True)
    serials = models.TextField(blank=True)
    feeds_from = models.CharField(max_length=60, blank=True)
    operating_mode = models.CharField(
        max_length=30,
        choices=choices("long-term-parallel", "short-term-parallel", "switched"),
        blank=True,
    )
    emission_standards = models.JSONField(null=True)
    """A list of names; an empty list means that none is declared."""
    max_impedance_uohm = models.PositiveBigIntegerField(null=True)
    dc_input_w = models.PositiveBigIntegerField(null=True)
    dc_inputs = models.JSONField(null=True)
    """A list as in a site file."""
    panel_electronics = models.CharField(
        max_length=20, choices=choices(*get_args(PanelElectronics)), blank=True
    )

    class Meta(_Plant.Meta):
        constraints = (
            models.UniqueConstraint(fields=("premises", "design", "label"), name="unit_label_once"),
            models.UniqueConstraint(
                fields=("premises", "label"),
                condition=models.Q(design__isnull=True),
                name="unit_label_once_existing",
            ),
        )


class Array(_Plant, _Dated):
    """Panels behind a unit."""

    unit_id = models.CharField(max_length=60)
    peak_w = models.PositiveBigIntegerField(null=True)
    panels = models.PositiveIntegerField(null=True)
    strings = models.PositiveIntegerField(null=True)
    strings_listed = models.JSONField(null=True)
    """Strings as in a site file, where more than their number is known."""
    panel_voc_mv = models.PositiveBigIntegerField(null=True)
    panel_vmp_mv = models.PositiveBigIntegerField(null=True)
    panel_isc_ma = models.PositiveBigIntegerField(null=True)
    panel_imp_ma = models.PositiveBigIntegerField(null=True)
    panel_peak_w = models.PositiveBigIntegerField(null=True)
    panel_voc_ppm_k = models.BigIntegerField(null=True)
    panel_isc_ppm_k = models.BigIntegerField(null=True)
    tilt_deg = models.PositiveSmallIntegerField(null=True)
    azimuth_deg = models.PositiveSmallIntegerField(null=True)


class Cells(_Plant, _Dated):
    """Storage cells behind a unit."""

    unit_id = models.CharField(max_length=60)
    usable_wh = models.PositiveBigIntegerField(null=True)
    charge_w = models.PositiveBigIntegerField(null=True)
    discharge_w = models.PositiveBigIntegerField(null=True)
    charges_from_grid = models.BooleanField(null=True)
    exports = models.BooleanField(null=True)
    tap = models.CharField(max_length=30, choices=choices(*get_args(Tap)), blank=True)


class Board(_Plant):
    """A board, with the rating of its assembly and of the device that feeds it.

    A board that a design proposes replaces an existing one of the same name.
    """

    label = models.CharField(max_length=60)
    rating_a = models.PositiveIntegerField(null=True)
    incoming_a = models.PositiveIntegerField(null=True)
    conditional_a = models.PositiveIntegerField(null=True)


class Protection(_Plant):
    """A protective device; `settings` holds site-file settings as they are."""

    kind = models.CharField(max_length=60)
    serves = models.CharField(max_length=60, blank=True)
    rating_a = models.PositiveIntegerField(null=True)
    rcd_type = models.CharField(max_length=60, blank=True)
    direction = models.CharField(max_length=60, blank=True)
    reference = models.CharField(max_length=200, blank=True)
    settings = models.JSONField(default=list)
    trip_ma = models.PositiveIntegerField(null=True)
    breaking_a = models.PositiveIntegerField(null=True)
    location = models.CharField(max_length=200, blank=True)
    """Where the device sits; `place` is its order."""
    lockable = models.BooleanField(null=True)
    breaker_type = models.CharField(
        max_length=1, choices=choices(*get_args(BreakerType)), blank=True
    )


class Cable(_Plant):
    """A run of cable."""

    from_board = models.CharField(max_length=60)
    to_board = models.CharField(max_length=60)
    unit_id = models.CharField(max_length=60, blank=True)
    length_mm = models.PositiveBigIntegerField(null=True)
    csa_mm2 = models.CharField(max_length=20, blank=True)
    protective_mm2 = models.CharField(max_length=20, blank=True)
    material = models.CharField(max_length=60, blank=True)
    insulation = models.CharField(max_length=60, blank=True)
    cores = models.PositiveSmallIntegerField(null=True)
    method = models.CharField(max_length=60, blank=True)
    ambient_c = models.PositiveIntegerField(null=True)
    grouped = models.PositiveIntegerField(null=True)
    capacity_a = models.PositiveIntegerField(null=True)


class Load(_Plant):
    """A large load."""

    name = models.CharField(max_length=200)
    w = models.PositiveBigIntegerField(null=True)
    phases = models.CharField(max_length=8, blank=True)
    controllable = models.BooleanField(null=True)
    kind = models.CharField(max_length=30, choices=choices(*get_args(LoadKind)), blank=True)


class Clamp(_Plant):
    """A current transformer that a unit or a limit reads; `place` is its order on the sheet.

    A clamp that a design proposes replaces an existing one of the same name.
    """

    label = models.CharField(max_length=60)
    location = models.CharField(max_length=20, choices=choices(*get_args(ClampPlace)), blank=True)
    serves = models.CharField(max_length=60, blank=True)
    phase = models.CharField(max_length=2, choices=choices(*get_args(Phase)), blank=True)
    direction = models.CharField(
        max_length=20, choices=choices(*get_args(ClampDirection)), blank=True
    )
    link = models.CharField(max_length=10, choices=choices(*get_args(ClampLink)), blank=True)


class Limit(_Plant):
    """An export or import limit of a limitation scheme."""

    on = models.CharField(max_length=10, choices=choices("export", "import"))
    value = models.PositiveBigIntegerField(null=True)
    basis = models.CharField(max_length=20, choices=choices("ma_per_phase", "w_total", "va_total"))
    type_tested = models.BooleanField(null=True)
    type_test_reference = models.CharField(max_length=200, blank=True)
    response_ms = models.PositiveIntegerField(null=True)
    fail_safe = models.BooleanField(null=True)
    measured_at = models.CharField(max_length=200, blank=True)
    ct_position = models.CharField(max_length=200, blank=True)
    nets_phases = models.BooleanField(null=True)
    controls = models.TextField(blank=True)
    commissioned_on = models.DateField(null=True)

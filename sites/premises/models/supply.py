"""The supply of a premises, as it is or as a design changes it."""

from django.db import models

from sites.house.models.base import Keyed, choices


class Supply(Keyed):
    """A supply: of the premises as it is (no design), or as a design changes it.

    Units stand in the names: A, V, VA, micro-ohms.
    """

    premises = models.ForeignKey(
        "sites.Premises", on_delete=models.CASCADE, related_name="supplies"
    )
    design = models.OneToOneField(
        "sites.Design", on_delete=models.CASCADE, null=True, related_name="supply"
    )
    phases = models.PositiveSmallIntegerField(choices=[(1, "1"), (2, "2"), (3, "3")], null=True)
    nominal_v = models.PositiveIntegerField(null=True)
    voltage_level = models.CharField(max_length=2, choices=choices("LV", "HV"), blank=True)
    cutout_a = models.PositiveIntegerField(null=True)
    earthing = models.CharField(
        max_length=10, choices=choices("TN-C-S", "TN-S", "TT", "unknown"), blank=True
    )
    looped = models.BooleanField(null=True)
    import_capacity_va = models.PositiveBigIntegerField(null=True)
    export_capacity_va = models.PositiveBigIntegerField(null=True)
    loop_impedance_uohm = models.PositiveBigIntegerField(null=True)
    prospective_fault_a = models.PositiveBigIntegerField(null=True)
    voltage_optimiser = models.BooleanField(null=True)
    loop_measured = models.BooleanField(null=True)
    line_neutral_uohm = models.PositiveBigIntegerField(null=True)
    fault_measured = models.BooleanField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("premises",),
                condition=models.Q(design__isnull=True),
                name="supply_one_as_it_stands",
            ),
        )

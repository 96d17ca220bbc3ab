"""The firm's own equipment catalogue: the models that it fits, as their data sheets say."""

from django.db import models

from sites.house.models.base import Keyed


class Equipment(Keyed):
    """A model of inverter that the firm fits; the values are copied into a unit when chosen."""

    maker = models.CharField(max_length=200)
    model = models.CharField(max_length=200)
    source = models.CharField(max_length=20)
    rated_w = models.PositiveBigIntegerField(null=True)
    design_w = models.PositiveBigIntegerField(null=True)
    rated_va = models.PositiveBigIntegerField(null=True)
    rated_ma = models.PositiveBigIntegerField(null=True)
    phases = models.PositiveSmallIntegerField(default=1)
    type_tested = models.CharField(max_length=10, blank=True)
    standard = models.CharField(max_length=60, blank=True)
    type_test_reference = models.CharField(max_length=200, blank=True)
    can_island = models.BooleanField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("maker", "model"), name="equipment_model_once"),
        )

    def __str__(self) -> str:
        """Maker and model."""
        return f"{self.maker} {self.model}"

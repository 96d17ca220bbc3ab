"""Designs: ways to equip a premises. Existing plant belongs to the premises, not to a design."""

from django.db import models

from sites.house.models.base import Keyed


class Design(Keyed):
    """One way to equip a premises. The only design of a premises has no name and goes unmentioned.

    Every service that changes anything beneath it raises `version`.
    """

    premises = models.ForeignKey("sites.Premises", on_delete=models.CASCADE, related_name="designs")
    version = models.PositiveIntegerField(default=1)
    name = models.CharField(max_length=200, blank=True)
    is_proposal = models.BooleanField(default=False)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(
                fields=("premises",),
                condition=models.Q(is_proposal=True),
                name="design_one_proposal",
            ),
        )


class Removal(Keyed):
    """Marks an existing unit that a design removes."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="removals")
    unit = models.ForeignKey("sites.Unit", on_delete=models.CASCADE, related_name="removals")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("design", "unit"), name="removal_once_for_design"),
        )

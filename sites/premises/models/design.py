"""Designs: ways to equip a premises. Existing plant belongs to the premises, not to a design."""

from django.db import models

from sites.house.models.base import Keyed


class Design(Keyed):
    """One way to equip a premises. While a premises has one, it has no name and goes unmentioned.

    `version` is raised by every service that touches anything beneath.
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
    """A design marks that an existing unit goes."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="removals")
    unit = models.ForeignKey("sites.Unit", on_delete=models.CASCADE, related_name="removals")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("design", "unit"), name="removal_once_for_design"),
        )

"""Work for the worker under a digest: asked once, done once, whatever happens in between."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from sites.house.models.base import Keyed, choices

YEAR, REMEDIES, LIMITS, LOOK = "year", "remedies", "limits", "look"
KINDS = (YEAR, REMEDIES, LIMITS, LOOK)


class Work(Keyed):
    """The last request to the worker, and its state.

    It is for a design, one of each kind, or for a run over all sites, one at each `place` of it.
    `asked` holds all inputs of the answer, `digest` identifies them. `results` holds what is found
    so far, in the form of its kind. With `done_at` there is an answer, or a `fault` in words; with
    `stopped_at` a person wants no more. `asked_by` is empty where the program asked by itself.
    """

    kind = models.CharField(max_length=10, choices=choices(*KINDS))
    design = models.ForeignKey(
        "sites.Design", on_delete=models.CASCADE, null=True, related_name="work"
    )
    run = models.ForeignKey(
        "sites.ScreeningRun", on_delete=models.CASCADE, null=True, related_name="parts"
    )
    place = models.PositiveIntegerField(null=True)
    digest = models.CharField(max_length=64)
    asked = models.JSONField()
    results = models.JSONField(null=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    asked_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True)
    stopped_at = models.DateTimeField(null=True)
    fault = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("kind", "design"), name="work_once_for_design"),
            models.UniqueConstraint(fields=("run", "place"), name="work_once_at_place"),
            models.CheckConstraint(
                condition=Q(design__isnull=False, run__isnull=True, place__isnull=True)
                | Q(design__isnull=True, run__isnull=False, place__isnull=False),
                name="work_for_design_or_run",
            ),
        )

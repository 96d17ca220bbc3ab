"""What the worker works out under a digest: asked once, done once, whatever happens in between."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from sites.house.models.base import Keyed, choices

YEAR, REMEDIES, LIMITS, LOOK = "year", "remedies", "limits", "look"
KINDS = (YEAR, REMEDIES, LIMITS, LOOK)


class Work(Keyed):
    """What was last asked of the worker, and how that stands.

    It is asked for a design, once of each kind, or for a run over all sites, once at each `place`
    of it. `asked` holds all that the answer follows from, `digest` tells it from any other.
    `results` is what is found so far, in the form of its kind. With `done_at` there is an answer,
    or a `fault` in words; `stopped_at` says that a person wants no more. What the program asked
    by itself has nobody in `asked_by`.
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

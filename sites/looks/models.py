"""Looks at every case of an application under other rules: runs, and their differences.

The worker does a run in parts, each a row of `Work`. Nobody acts on these rows as answers of the
rules: every page decides anew, and a run only says where to look.
"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from sites.house.models.base import Keyed

DATE, CHANGE, WATCH = "date", "change", "watch"
KINDS = (DATE, CHANGE, WATCH)


class ScreeningRun(Keyed):
    """One look at all cases.

    `kind` says what it compares. `date`: every case as it is with the rules of the day `on`.
    `change`: the rules in force on `on` with those that include `local` (local files as name and
    TOML). `watch`: the noted rules of each case with those in force, and the latter with the rules
    of the days in `coming`. `asked` is the digest of the question; one question has one run at a
    time. All parts of a run share the day `today`. If `asked_by` is empty, the program began the
    run.
    """

    kind = models.CharField(max_length=10, choices=[(kind, kind) for kind in KINDS])
    on = models.DateField()
    local = models.JSONField(null=True)
    coming = models.JSONField(default=list)
    today = models.DateField()
    asked = models.CharField(max_length=64)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    asked_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    total = models.PositiveIntegerField()
    done = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ("-asked_at", "-pk")
        constraints = (
            models.UniqueConstraint(
                fields=("asked",), condition=Q(ended_at__isnull=True), name="screening_once_at_once"
            ),
            models.CheckConstraint(condition=Q(done__lte=F("total")), name="screening_done_of_all"),
        )

    def __str__(self) -> str:
        return f"rules of {self.on.isoformat()}"


class ScreeningRow(Keyed):
    """A case with a different result.

    `was` and `now` are the procedures in words. `changes` holds each difference as a mapping with
    `kind`, `about`, `before`, `after` and `sentence`. `coming` is the day from which it holds, None
    if it holds already. `rulebook` is the digest of the rules behind it. Marking it as looked at
    takes it off the work list.
    """

    run = models.ForeignKey(ScreeningRun, on_delete=models.CASCADE, related_name="rows")
    case = models.ForeignKey("sites.Case", on_delete=models.CASCADE, related_name="screening_rows")
    coming = models.DateField(null=True)
    was = models.CharField(max_length=300)
    now = models.CharField(max_length=300)
    changes = models.JSONField()
    rulebook = models.CharField(max_length=64, blank=True)
    looked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    looked_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(
                fields=("run", "case"),
                condition=Q(coming__isnull=True),
                name="screening_row_once_now",
            ),
            models.UniqueConstraint(
                fields=("run", "case", "coming"), name="screening_row_once_for_day"
            ),
        )


class NotedRules(models.Model):
    """The rules that a case was last noted under, so that a change of them shows.

    `looked` is the digest of rules to come that somebody has looked at already.
    """

    case = models.OneToOneField("sites.Case", on_delete=models.CASCADE, related_name="noted_rules")
    rulebook = models.ForeignKey("sites.KeptRulebook", on_delete=models.PROTECT, related_name="+")
    noted_at = models.DateTimeField()
    looked = models.CharField(max_length=64, blank=True)

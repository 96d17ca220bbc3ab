"""When a job of the machine ran last."""

from django.db import models

NIGHTLY, BACKUP = "nightly", "backup"


class LastRun(models.Model):
    """The last run of a job: when it ended, whether well, and what it said."""

    name = models.CharField(max_length=20, unique=True)
    ended_at = models.DateTimeField()
    well = models.BooleanField()
    said = models.TextField(blank=True)

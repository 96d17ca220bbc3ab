"""Rulebooks behind kept decisions, stored whole."""

from django.db import models


class KeptRulebook(models.Model):
    """A resolved rulebook by its digest; `rulebook.keeping.content_of` makes `content`."""

    digest = models.CharField(max_length=64, primary_key=True)
    content = models.BinaryField()
    first_used_at = models.DateTimeField()

"""Rulebooks that a kept decision was made under, whole."""

from django.db import models


class KeptRulebook(models.Model):
    """A resolved rulebook by its digest; `content` is what `rulebook.keeping.content_of` gave."""

    digest = models.CharField(max_length=64, primary_key=True)
    content = models.BinaryField()
    first_used_at = models.DateTimeField()

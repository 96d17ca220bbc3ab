"""Base of rows that a file, a finding or a pack may name: a key of their own."""

import uuid

from django.db import models


class Keyed(models.Model):
    """A row with a key that never changes and can be shown outside."""

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)

    class Meta:
        abstract = True


def choices(*words: str) -> list[tuple[str, str]]:
    """Choices whose stored word is the word of the site file."""
    return [(word, word) for word in words]

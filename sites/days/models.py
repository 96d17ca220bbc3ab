"""The secret address under which other programs read a person's days."""

from django.conf import settings
from django.db import models


class CalendarAddress(models.Model):
    """The calendar address of a person: the beginning of its token, and the token's SHA-256.

    The token itself is shown once and kept nowhere. It reads the days and nothing else.
    """

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="calendar_address"
    )
    prefix = models.CharField(max_length=8, unique=True)
    token_sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    used_on = models.DateField(null=True)

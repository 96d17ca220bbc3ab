"""Premises that may be one: what they have in common, and what a person said of two of them."""

from django.conf import settings
from django.db import models

from sites.house.models.base import Keyed


class Locator(models.Model):
    """A supply number or the address of a premises, as a digest: equal for equal ones.

    The acts that change number or address renew them. A digest names nobody.
    """

    premises = models.ForeignKey("sites.Premises", on_delete=models.CASCADE, related_name="+")
    kind = models.CharField(max_length=10, choices=[("number", "number"), ("address", "address")])
    digest = models.CharField(max_length=64, db_index=True)


class Double(Keyed):
    """What a person said of two premises with one supply number or one address.

    `same` links them: one supply, whose plant counts together. `one` has the lower primary key.
    """

    one = models.ForeignKey("sites.Premises", on_delete=models.CASCADE, related_name="+")
    other = models.ForeignKey("sites.Premises", on_delete=models.CASCADE, related_name="+")
    same = models.BooleanField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True)
    at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("one", "other"), name="double_once_for_two"),
        )

"""Views of a list that a person has saved."""

from django.conf import settings
from django.db import models

from sites.house.models.base import Keyed


class SavedView(Keyed):
    """What a person looks for on a list ("work" or "review"), under a name of the person's own.

    `asked` is the query of the list's address. It is read by the same form as an address.
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="saved_views"
    )
    of = models.CharField(max_length=10)
    name = models.CharField(max_length=60)
    asked = models.CharField(max_length=1000)

    class Meta:
        ordering = ("name", "pk")
        constraints = (
            models.UniqueConstraint(fields=("person", "of", "name"), name="saved_view_name_once"),
        )

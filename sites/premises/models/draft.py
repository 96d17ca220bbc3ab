"""Text that a person has typed on a page and not saved yet."""

from django.conf import settings
from django.db import models

from sites.house.models.base import Keyed


class Draft(Keyed):
    """The raw text of one page and one person, as typed, right or wrong.

    `page` names the page ("premises/new", "sheet/<design key>"). `content` is the posted form as
    pairs of name and values. `seen` holds the versions that the page was opened with.
    """

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE)
    page = models.CharField(max_length=120)
    content = models.JSONField(default=dict)
    seen = models.JSONField(default=dict)
    changed_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("person", "page"), name="draft_one_for_page"),
        )

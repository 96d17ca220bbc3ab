"""Finds drafts: text typed on a page and not saved yet."""

import datetime as dt
from uuid import UUID

from django.utils import timezone

from sites.people.models import Person
from sites.premises.models import Draft

NEW_PREMISES = "premises/new"
THROWN = "thrown/"
KEPT_FOR = dt.timedelta(days=1)
"""How long a draft that was thrown away can be fetched back, and an ended visit is remembered:
longer than a request can be late."""


def sheet_page(design_key: UUID) -> str:
    """Return the name under which drafts keep the sheet of a design."""
    return f"sheet/{design_key}"


def draft_of(person: Person, page: str) -> Draft | None:
    """Return the draft of a page, or None if there is none."""
    return Draft.objects.filter(person=person, page=page).first()


def thrown(page: str) -> str:
    """Return the name under which a draft of the page is kept after it was thrown away."""
    return f"{THROWN}{page}"


def thrown_draft_of(person: Person, page: str) -> Draft | None:
    """Return the draft of a page that was thrown away within a day, if there is one."""
    since = timezone.now() - KEPT_FOR
    return Draft.objects.filter(person=person, page=thrown(page), changed_at__gte=since).first()

"""Keeping what a person types before it is saved, right or wrong, word by word."""

import datetime as dt
from typing import Any

from django.db import transaction
from django.utils import timezone

from sites.people.models import Person
from sites.premises.models import Draft

_ENDED = "ended/"
_REMEMBERED = dt.timedelta(days=1)
"""How long an ended visit of a page is remembered: longer than a request can be late."""


@transaction.atomic
def keep_draft(
    *, person: Person, page: str, content: dict[str, list[str]], seen: dict[str, Any], visit: str
) -> Draft | None:
    """Keep what a person typed on a page, in place of what was kept before.

    `visit` tells one opening of the page from another. What a page sends late, after its visit was
    ended by a save, is no draft any more: nothing is kept, and None comes back.
    """
    _lock(person)
    if visit and Draft.objects.filter(person=person, page=f"{_ENDED}{visit}").exists():
        return None
    kept, _new = Draft.objects.update_or_create(
        person=person,
        page=page,
        defaults={"content": content, "seen": seen, "changed_at": timezone.now()},
    )
    return kept


@transaction.atomic
def drop_draft(*, person: Person, page: str, visit: str) -> None:
    """End a visit of a page: forget what was typed, for it was saved or isn't wanted."""
    _lock(person)
    now = timezone.now()
    mine = Draft.objects.filter(person=person)
    mine.filter(page__startswith=_ENDED, changed_at__lt=now - _REMEMBERED).delete()
    mine.filter(page=page).delete()
    if visit:
        mine.update_or_create(person=person, page=f"{_ENDED}{visit}", defaults={"changed_at": now})


def _lock(person: Person) -> None:
    """A person's drafts are kept and dropped one after the other."""
    Person.objects.select_for_update().only("pk").get(pk=person.pk)

"""Keeps typed text before it is saved, exactly as typed, right or wrong."""

import datetime as dt
from typing import Any

from django.db import transaction
from django.utils import timezone

from sites.people.models import Person
from sites.premises.models import Draft

_ENDED = "ended/"
_REMEMBERED = dt.timedelta(days=1)
"""How long an ended visit is remembered: longer than a request can be late."""


@transaction.atomic
def keep_draft(
    *, person: Person, page: str, content: dict[str, list[str]], seen: dict[str, Any], visit: str
) -> Draft | None:
    """Keep what a person typed on a page, in place of the last draft.

    `visit` identifies one opening of the page. A request that arrives after a save ended its visit
    keeps nothing and returns None.
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
    """End a visit of a page and drop its draft, which was saved or is not wanted."""
    _lock(person)
    now = timezone.now()
    mine = Draft.objects.filter(person=person)
    mine.filter(page__startswith=_ENDED, changed_at__lt=now - _REMEMBERED).delete()
    mine.filter(page=page).delete()
    if visit:
        mine.update_or_create(person=person, page=f"{_ENDED}{visit}", defaults={"changed_at": now})


def _lock(person: Person) -> None:
    """Make keeping and dropping of a person's drafts wait for each other."""
    Person.objects.select_for_update().only("pk").get(pk=person.pk)

"""Keeps typed text before it is saved, exactly as typed, right or wrong."""

from typing import Any

from django.db import transaction
from django.utils import timezone

from sites.people.models import Person
from sites.premises.models import Draft
from sites.premises.reading.drafts import KEPT_FOR, THROWN, draft_of, thrown, thrown_draft_of

_ENDED = "ended/"


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
    """End a visit of a page and delete its draft, which was saved."""
    _lock(person)
    Draft.objects.filter(person=person, page=page).delete()
    _end(person, visit)


@transaction.atomic
def throw_away_draft(*, person: Person, page: str, visit: str) -> None:
    """End a visit of a page and put its draft aside; it can be fetched back for a day."""
    _lock(person)
    mine = Draft.objects.filter(person=person)
    if mine.filter(page=page).exists():
        mine.filter(page=thrown(page)).delete()
        mine.filter(page=page).update(page=thrown(page), changed_at=timezone.now())
    _end(person, visit)


@transaction.atomic
def fetch_back_draft(*, person: Person, page: str) -> bool:
    """Put a thrown-away draft back in its place; False if it is gone or the page has a new one."""
    _lock(person)
    if draft_of(person, page) is not None or thrown_draft_of(person, page) is None:
        return False
    return bool(Draft.objects.filter(person=person, page=thrown(page)).update(page=page))


def clear_drafts() -> str:
    """Delete drafts thrown away and visits ended over a day ago; say how many. For the night."""
    old = Draft.objects.filter(changed_at__lt=timezone.now() - KEPT_FOR)
    thrown_away, _ = old.filter(page__startswith=THROWN).delete()
    old.filter(page__startswith=_ENDED).delete()
    return f"{thrown_away} drafts that were thrown away are deleted"


def _end(person: Person, visit: str) -> None:
    now = timezone.now()
    mine = Draft.objects.filter(person=person)
    mine.filter(page__startswith=_ENDED, changed_at__lt=now - KEPT_FOR).delete()
    if visit:
        mine.update_or_create(person=person, page=f"{_ENDED}{visit}", defaults={"changed_at": now})


def _lock(person: Person) -> None:
    """Make keeping and dropping of a person's drafts wait for each other."""
    Person.objects.select_for_update().only("pk").get(pk=person.pk)

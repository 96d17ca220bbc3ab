"""Keeps what premises have in common, and what a person says of two that may be one."""

from collections.abc import Mapping
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Double, Locator, Premises
from sites.premises.reading.doubles import marks_of
from sites.premises.reading.site_rows import SiteRows


def renew_locators(premises: Premises, rows: SiteRows) -> None:
    """Keep the marks of a premises as its rows now are; part of the act that changed them."""
    wanted = marks_of(rows)
    kept = {(row.kind, row.digest): row.pk for row in Locator.objects.filter(premises=premises)}
    Locator.objects.filter(pk__in=[pk for mark, pk in kept.items() if mark not in wanted]).delete()
    Locator.objects.bulk_create(
        Locator(premises=premises, kind=mark.kind, digest=mark.digest)
        for mark in sorted(wanted)
        if mark not in kept
    )


@transaction.atomic
def say_of_doubles(*, premises: Premises, said: Mapping[UUID, bool], by: Person | None) -> None:
    """Keep whether other premises, by key, are the same supply (linked) or differ."""
    for other in Premises.objects.filter(key__in=said).exclude(pk=premises.pk).order_by("pk"):
        one, two = sorted((premises, other), key=lambda each: each.pk)
        same = said[other.key]
        Double.objects.update_or_create(
            one=one, other=two, defaults={"same": same, "by": by, "at": timezone.now()}
        )
        act = "premises.linked" if same else "premises.told-apart"
        record(act, by=by, subject=premises, data={"other": str(other.key)})

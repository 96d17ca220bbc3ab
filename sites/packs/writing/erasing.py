"""Erasing a customer from issued packs; digests, technical parts and events stay."""

from functools import partial

from django.db import transaction

from sites.house import storage
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.packs.models import FrozenPack, PersonalPart
from sites.people.models import Person
from sites.premises.models import Application
from sites.premises.writing.versions import raise_version_of


@transaction.atomic
def erase_personal_parts(*, application: Application, by: Person) -> int:
    """Remove the personal part of every revision of an application's pack, with its salt, and the
    bytes of its PDF; returns how many revisions lost theirs.

    Raises NotAllowedError for anybody but an engineer, RefusedError where nothing is left to erase.
    """
    if not by.is_engineer:
        raise NotAllowedError("Only an engineer may erase a customer.")
    raise_version_of(application)
    packs = list(
        FrozenPack.objects.select_for_update()
        .filter(application=application, personal__isnull=False)
        .order_by("pk")
    )
    if not packs:
        raise RefusedError("The personal part of every revision has been erased already.")
    for pack in packs:
        keys = list(PersonalPart.objects.filter(frozenpack=pack).values_list("pk", flat=True))
        FrozenPack.objects.filter(pk=pack.pk).update(personal=None)
        PersonalPart.objects.filter(pk__in=keys).delete()
        record(
            "personal.erased",
            by=by,
            subject=application,
            data={"pack": str(pack.key), "revision": pack.revision, "digest": pack.digest},
        )
        if pack.pdf_sha256:
            # After the commit: a file can't be brought back if the transaction fails. Should the
            # process die in between, the sweep takes it, for no row counts it any more.
            transaction.on_commit(partial(storage.remove, pack.pdf_sha256))
    return len(packs)

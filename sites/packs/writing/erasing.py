"""Erases a customer from issued packs; digests, technical parts and events stay."""

from functools import partial

from django.conf import settings
from django.db import transaction
from django.utils.module_loading import import_string

from sites.cases.models import Application, Case
from sites.cases.writing import raise_version_of
from sites.house import storage
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.packs.models import FrozenPack, PersonalPart
from sites.people.models import Person


@transaction.atomic
def erase_personal_parts(*, application: Application, by: Person) -> int:
    """Erase the personal parts of an application's packs; return the number of revisions erased.

    Removes from every revision the personal part, its salt, and the bytes of the PDFs; from its
    cases who declared the work; and what subjects above hold, which the settings name. Raises
    NotAllowedError for anybody but an engineer, RefusedError if nothing is left to erase.
    """
    if not by.is_engineer:
        raise NotAllowedError("Only an engineer may erase a customer.")
    raise_version_of(application)
    packs = list(
        FrozenPack.objects.select_for_update()
        .filter(application=application, personal__isnull=False)
        .order_by("pk")
    )
    also = sum(import_string(path)(application) for path in settings.ALSO_ERASED)
    also += (
        Case.objects.filter(application=application).exclude(declared_by="").update(declared_by="")
    )
    if not packs and not also:
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
        for sha256 in filter(
            None, (pack.pdf_sha256, pack.annex_pdf_sha256, pack.notice_pdf_sha256)
        ):
            # After the commit, because a file can't be restored if the transaction fails. If the
            # process dies in between, the sweep deletes the file, which no row refers to any more.
            transaction.on_commit(partial(storage.remove, sha256))
    if not packs:
        record("personal.erased", by=by, subject=application)
    return len(packs)

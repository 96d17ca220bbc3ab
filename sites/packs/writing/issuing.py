"""Issues a pack: freezes its content and asks for its print, in one transaction."""

import secrets

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone
from msgspec import Struct, to_builtins

from connections.facts.canonical import canonical
from connections.pack.case import InstallerDeclaration
from connections.pack.content import Pack, without_personal, write_pack
from sites.cases.models import Application, Case
from sites.cases.writing import moves_on
from sites.house.refusals import FactsChangedError, NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.packs.models import FrozenPack, PersonalPart
from sites.packs.reading.packs import (
    DraftPack,
    Obstacle,
    declaration_of,
    draft_of,
    makings_of,
    newest_pack,
    reasons_of,
)
from sites.packs.tasks import print_pack
from sites.people.models import Person
from sites.premises.models import Design, Premises
from sites.rulebook.writing.kept import keep_rulebook

STALE_FILES = "Take out the files of other models, or tick that they go all the same."


class PreviewSeen(Struct, frozen=True):
    """The pack as the engineer saw it before issuing.

    Holds the application's version, the revision to issue, and the digest of the technical part.
    """

    version: int
    revision: int
    content: str


class ObstructedError(RefusedError):
    """Raised if something stands in the way; `obstacles` lists all of it."""

    def __init__(self, obstacles: tuple[Obstacle, ...]) -> None:
        super().__init__(
            "The pack was not issued. What stands in the way: "
            + " ".join(obstacle.says for obstacle in obstacles)
        )
        self.obstacles = obstacles


class IssuedMeanwhileError(RefusedError):
    """Raised if a second click or another engineer issued the revision already as `pack`."""

    def __init__(self, pack: FrozenPack) -> None:
        super().__init__(f"Revision {pack.revision} was issued already; nothing was issued twice.")
        self.pack = pack


@transaction.atomic
def issue_pack(
    *,
    application: Application,
    seen: PreviewSeen,
    declaration: InstallerDeclaration | None,
    by: Person,
    keeps_files: bool = False,
) -> FrozenPack:
    """Issue the next revision of an application's pack.

    Freezes the technical and the personal part with their digests, keeps the deciding rulebook
    whole, and asks the worker for the PDF.

    Raises NotAllowedError for anybody but an engineer. Raises IssuedMeanwhileError if the revision
    seen exists already, and FactsChangedError if anything differs from what was seen. Raises
    ObstructedError while a stop is open, a decision is missing, or a fact that the pack needs is
    not known. Raises RefusedError while an attached file names a model that is no longer there,
    unless `keeps_files` says that it goes all the same.
    """
    if not by.is_engineer:
        raise NotAllowedError("Only an engineer may issue a pack.")
    # Comes first, so that the second of two at once waits here and then finds another version.
    moved = Application.objects.filter(pk=application.pk, version=seen.version).update(
        version=F("version") + 1
    )
    if not moved:
        newest = newest_pack(application)
        if newest is not None and newest.revision >= seen.revision:
            raise IssuedMeanwhileError(newest)
        raise FactsChangedError(
            "A decision, a file or an answer was entered since you opened this page. Look at what "
            "would be issued now."
        )
    _hold_facts(application)
    as_seen = draft_of(application)
    if as_seen.pack is None or as_seen.pack.digests.technical != seen.content:
        raise FactsChangedError(
            "The facts have changed since you opened this page. Look at what would be issued now."
        )
    draft = draft_of(application, declaration=declaration) if declaration else as_seen
    if draft.obstacles:
        raise ObstructedError(draft.obstacles)
    if draft.stale and not keeps_files:
        names = ", ".join(each.file.name for each in draft.stale)
        raise RefusedError(f"{STALE_FILES} They are: {names}.", field="keeps_files")
    assert draft.case is not None
    frozen = _freeze(draft, declaration, by)
    record("pack.issued", by=by, subject=application, data=_data(frozen))
    act = "issue-after" if draft.tells_of_work_done else "issue"
    moves_on(case=draft.case, act=act, by=by)
    print_pack.enqueue(frozen.digest)
    return frozen


def _hold_facts(application: Application) -> None:
    """Lock the premises and their designs against saving until this act commits."""
    cases = list(Case.objects.filter(application=application))
    premises = [case.premises_id for case in cases]
    list(Premises.objects.select_for_update().filter(pk__in=premises).order_by("pk"))
    list(
        Design.objects.select_for_update()
        .filter(pk__in=[case.design_id for case in cases])
        .order_by("pk")
    )


def _freeze(draft: DraftPack, declaration: InstallerDeclaration | None, by: Person) -> FrozenPack:
    assert draft.decided is not None
    assert draft.decided.book is not None
    assert draft.case is not None
    now = timezone.now()
    reasons = reasons_of(draft.case).values()
    makings = makings_of(draft.case, draft.decided, draft.findings, draft.files, reasons)
    pack = makings.build(
        reference=draft.application.reference,
        prepared_on=timezone.localdate(now),
        salt=secrets.token_hex(16),
        revision=draft.revision,
        replaces=draft.previous.revision if draft.previous else None,
        changes=draft.changes,
        issued=True,
        declaration=declaration or declaration_of(draft.case),
    )
    annex = makings.annex(pack, salt=secrets.token_hex(16))
    notice = makings.notice(pack, salt=secrets.token_hex(16))
    assert pack.personal is not None
    try:
        with transaction.atomic():
            return FrozenPack.objects.create(
                application=draft.application,
                reference=pack.reference,
                revision=pack.revision,
                replaces=draft.previous,
                changes=[change.words for change in pack.changes],
                procedure=pack.procedure.key,
                technical=write_pack(without_personal(pack)),
                personal=PersonalPart.objects.create(
                    content=canonical(pack.personal),
                    salt=pack.personal.salt,
                    annex=canonical(annex.personal),
                    notice=b"" if notice is None else canonical(notice.personal),
                ),
                technical_digest=pack.digests.technical,
                personal_digest=pack.digests.personal,
                digest=pack.digests.pack,
                annex=write_pack(without_personal(annex)),
                annex_digest=annex.digests.pack,
                notice=b"" if notice is None else write_pack(without_personal(notice)),
                notice_digest="" if notice is None else notice.digests.pack,
                rulebook=keep_rulebook(draft.decided.book),
                issued_by=by,
                issued_at=now,
                attachments=to_builtins(pack.technical.attachments),
            )
    except IntegrityError:
        # Reached only by code that bypasses the version; the constraint still holds.
        newest = newest_pack(draft.application)
        if newest is None or newest.revision < draft.revision:
            raise
        raise IssuedMeanwhileError(newest) from None


def _data(frozen: FrozenPack) -> dict[str, str | int]:
    return {
        "pack": str(frozen.key),
        "revision": frozen.revision,
        "digest": frozen.digest,
        "rulebook": frozen.rulebook_id,
    }


__all__ = [
    "IssuedMeanwhileError",
    "ObstructedError",
    "Pack",
    "PreviewSeen",
    "issue_pack",
]

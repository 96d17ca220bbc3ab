"""Packs: the next one with its obstacles, and frozen ones as they were frozen."""

import datetime as dt
import secrets
from collections.abc import Container, Iterable
from typing import TypeVar

import msgspec
from django.utils import timezone
from msgspec import Struct, structs

from connections.facts.decision import Finding
from connections.pack.build import (
    build_annex,
    build_notice,
    build_pack,
    kind_of,
    needed_later,
    pack_hindrances,
)
from connections.pack.case import EngineerDecision, InstallerDeclaration
from connections.pack.case import SentWithout as Reason
from connections.pack.changes import changes_between
from connections.pack.content import (
    Annex,
    AttachedFile,
    Change,
    Kind,
    Pack,
    Personal,
    digest_faults,
    read_annex,
    read_pack,
)
from connections.pack.issuing import Hindrance
from connections.pack.pack_error import PackError
from sites.cases.models import Application, Case
from sites.cases.moves import is_confirmed, may_issue
from sites.cases.reading import standing_of
from sites.catalogue.models import Equipment
from sites.deciding.reading.deciding import DecidedSite, decide_case
from sites.packs.models import FrozenPack, SentWithout
from sites.premises.reading.doubles import doubles_of
from sites.review.models import Attachment, Verdict
from sites.review.reading.attachments import files_of
from sites.review.reading.verdicts import OpenFinding, findings_of

DOUBTS = frozenset({"uncertain-values", "uncertain-value"})
_C = TypeVar("_C", Pack, Annex)
ONE_LINE = (
    "This application has {} premises. A pack for several premises can't be made yet; make an "
    "application for each."
)
NOTHING_CHANGED = (
    "Nothing has changed since revision {} was issued. A new revision says what changed; there is "
    "nothing to say."
)


class Obstacle(Struct, frozen=True):
    """An obstacle to issuing, and where to settle it.

    `where` is "finding" (a stop or a missing decision), "sheet" (a fact), "here" (a box of the page
    itself), "review" (the decision as a whole), "case" (the state of the case) or "nowhere"
    (nothing to settle). `path` is the
    site-file path or the box. `need` is the data item, `of` its row and `fact` the words of a fact
    without which an engineer may send the pack, with a reason.
    """

    says: str
    where: str
    path: str = ""
    finding: Finding | None = None
    need: str = ""
    of: str = ""
    fact: str = ""


class GivenReason(Struct, frozen=True):
    """A needed fact without which the pack is sent, in words, with the row of the reason."""

    says: str
    row: SentWithout


class StaleFile(Struct, frozen=True):
    """An attached file that names a model which the design no longer has."""

    file: Attachment
    model: str


class LaterNeed(Struct, frozen=True):
    """A fact that is needed at a later stage and not known yet."""

    stage: str
    says: str


class DraftPack(Struct, frozen=True):
    """The pack that would be issued now, marked as not issued; `fault` if there can be none."""

    application: Application
    case: Case | None
    decided: DecidedSite | None
    findings: tuple[OpenFinding, ...]
    files: tuple[Attachment, ...]
    previous: FrozenPack | None
    pack: Pack | None
    changes: tuple[Change, ...]
    obstacles: tuple[Obstacle, ...]
    fault: str = ""
    sent_without: tuple[GivenReason, ...] = ()
    later: tuple[LaterNeed, ...] = ()
    annex: Annex | None = None
    notice: Pack | None = None
    stale: tuple[StaleFile, ...] = ()

    @property
    def revision(self) -> int:
        """The revision that would be issued next."""
        return self.previous.revision + 1 if self.previous else 1

    @property
    def doubts(self) -> tuple[Finding, ...]:
        """Findings on values that were not read in the document itself; told before issuing."""
        return tuple(each.finding for each in self.findings if each.finding.id in DOUBTS)

    @property
    def content(self) -> str:
        """The digest of the technical part, which the engineer sees before issuing."""
        return self.pack.digests.technical if self.pack else ""

    @property
    def tells_of_work_done(self) -> bool:
        """Whether it tells of work done, and so needs the installer's declaration."""
        return self.pack is not None and self.pack.procedure.kind in (
            "notification",
            "confirmation",
        )

    @property
    def declares(self) -> bool:
        """Whether the declaration is still to be given: it is not on the case."""
        given = self.case is not None and self.case.declared_on is not None
        return self.tells_of_work_done and not given


class PackMakings(Struct, frozen=True):
    """The parts of a case's pack without its heading."""

    decided: DecidedSite
    decisions: tuple[EngineerDecision, ...]
    attachments: tuple[AttachedFile, ...]
    kind: Kind
    without: tuple[Reason, ...] = ()

    def build(
        self,
        *,
        reference: str,
        prepared_on: dt.date,
        salt: str,
        revision: int = 1,
        replaces: int | None = None,
        changes: tuple[Change, ...] = (),
        issued: bool = False,
        declaration: InstallerDeclaration | None = None,
    ) -> Pack:
        """Return the pack under this heading. Raises PackError."""
        site, book, decision = self.decided.site, self.decided.book, self.decided.decision
        assert site is not None
        assert book is not None
        assert decision is not None
        return build_pack(
            site,
            decision,
            book,
            reference=reference,
            prepared_on=prepared_on,
            salt=salt,
            revision=revision,
            replaces=replaces,
            changes=changes,
            issued=issued,
            decisions=self.decisions,
            kind=self.kind,
            subject=self.decided.proposed,
            declaration=declaration,
            attachments=self.attachments,
            without=self.without,
        )

    def annex(self, pack: Pack, *, salt: str) -> Annex:
        """Return the annex of a pack made of these parts. Raises PackError."""
        site, book, decision = self.decided.site, self.decided.book, self.decided.decision
        assert site is not None
        assert book is not None
        assert decision is not None
        return build_annex(
            pack,
            site,
            decision,
            book,
            salt=salt,
            decisions=self.decisions,
            kind=self.kind,
            subject=self.decided.proposed,
        )

    def notice(self, pack: Pack, *, salt: str) -> Pack | None:
        """Return the notice of demand beside a pack, if a load is told of. Raises PackError."""
        site, book, decision = self.decided.site, self.decided.book, self.decided.decision
        assert site is not None
        assert book is not None
        assert decision is not None
        return build_notice(
            pack,
            site,
            decision,
            book,
            salt=salt,
            kind=self.kind,
            subject=self.decided.proposed,
        )


def newest_pack(application: Application) -> FrozenPack | None:
    """Return the latest issued revision, if there is one."""
    return application.packs.select_related("personal").order_by("-revision").first()


def draft_of(
    application: Application, *, declaration: InstallerDeclaration | None = None
) -> DraftPack:
    """Return the pack that would be issued now for the application."""
    cases = list(application.cases.select_related("premises", "design"))
    previous = newest_pack(application)
    if len(cases) != 1:
        return _without_pack(application, None, None, previous, ONE_LINE.format(len(cases)))
    case = cases[0]
    case.application = application
    decided = decide_case(case)
    if decided.decision is None:
        return _without_pack(application, case, decided, previous, decided.fault)
    findings = tuple(findings_of(case, decided.decision))
    files = tuple(files_of(case))
    reasons = reasons_of(case)
    makings = makings_of(case, decided, findings, files, reasons.values())
    declaration = declaration or declaration_of(case)
    not_now = may_issue(structs.replace(standing_of(case), kind=kind_of(decided.decision)))
    try:
        pack = makings.build(
            reference=application.reference,
            prepared_on=timezone.localdate(),
            salt=secrets.token_hex(16),
            declaration=declaration,
        )
    except PackError as fault:
        return _without_pack(application, case, decided, previous, fault.message)
    changes = changes_between(pack_of(previous), pack) if previous else ()
    hindrances = _hindrances(makings, declaration)
    return DraftPack(
        application=application,
        case=case,
        decided=decided,
        findings=findings,
        files=files,
        previous=previous,
        pack=pack,
        changes=changes,
        obstacles=(
            *((Obstacle(not_now, "case"),) if not_now else ()),
            *_not_counted(case),
            *_obstacles(hindrances, findings, reasons, previous, changes),
        ),
        sent_without=tuple(
            GivenReason(_sentence(each.fact), row)
            for each in hindrances
            if (row := reasons.get((each.need, each.of))) is not None
        ),
        later=_later(makings),
        annex=makings.annex(pack, salt=secrets.token_hex(16)),
        notice=makings.notice(pack, salt=secrets.token_hex(16)),
        stale=_stale(files, pack, previous),
    )


def _not_counted(case: Case) -> tuple[Obstacle, ...]:
    """Plant of linked premises behind the same supply that does not stand here: sums lack it."""
    return tuple(
        Obstacle(
            f"Count the plant of {each.premises} here: it is behind the same supply"
            f"{f' ({each.there_kw})' if each.there_kw else ''}.",
            "sheet",
        )
        for each in doubles_of(case.premises)
        if each.same and each.there
    )


def _stale(
    files: Iterable[Attachment], pack: Pack, previous: FrozenPack | None
) -> tuple[StaleFile, ...]:
    """Files that name a model of the last pack or of the catalogue, and none of this pack."""
    files = tuple(files)
    if not files:
        return ()
    there = set(_models(pack))
    models = set(Equipment.objects.values_list("model", flat=True))
    if previous is not None:
        models |= set(_models(pack_of(previous)))
    gone = {model: _plain(model) for model in models if _plain(model) and model not in there}
    here = [_plain(model) for model in there]
    found = []
    for file in files:
        said = _plain(f"{file.title} {file.name}")
        if any(model and model in said for model in here):
            continue
        found += [StaleFile(file, model) for model, plain in sorted(gone.items()) if plain in said][
            :1
        ]
    return tuple(found)


def _models(pack: Pack) -> list[str]:
    return [unit.model for unit in pack.technical.site.units if isinstance(unit.model, str)]


def _plain(words: str) -> str:
    """Letters and figures alone, so that "M 3680.pdf" holds the model "M-3680"."""
    return "".join(c for c in words.casefold() if c.isalnum())


def _without_pack(
    application: Application,
    case: Case | None,
    decided: DecidedSite | None,
    previous: FrozenPack | None,
    fault: str,
) -> DraftPack:
    where = "sheet" if case is not None else "nowhere"
    files = tuple(files_of(case)) if case is not None else ()
    return DraftPack(
        application=application,
        case=case,
        decided=decided,
        findings=(),
        files=files,
        previous=previous,
        pack=None,
        changes=(),
        obstacles=(Obstacle(fault, where),),
        fault=fault,
    )


def reasons_of(case: Case) -> dict[tuple[str, str], SentWithout]:
    """Return the reasons to send a case's pack without a fact, by data item and row; the latest."""
    return {(row.item, row.of): row for row in case.sent_without.select_related("by")}


def declaration_of(case: Case) -> InstallerDeclaration | None:
    """Return the installer's declaration that was entered with the commissioning."""
    if case.declared_on is None:
        return None
    return InstallerDeclaration(case.declared_by, case.declared_on)


def makings_of(
    case: Case,
    decided: DecidedSite,
    findings: Iterable[OpenFinding],
    files: Iterable[Attachment],
    reasons: Iterable[SentWithout],
) -> PackMakings:
    """Collect the parts of a pack: decision, verdicts that count, files, and reasons without."""
    assert decided.decision is not None
    kind: Kind = "confirmation" if is_confirmed(case.way, case.state) else kind_of(decided.decision)
    return PackMakings(
        decided=decided,
        decisions=tuple(
            _engineer_decision(found.verdict) for found in findings if found.verdict is not None
        ),
        attachments=tuple(
            AttachedFile(
                name=file.name,
                title=file.title,
                media_type=file.media_type,
                size_bytes=file.size_bytes,
                pages=file.pages,
                sha256=file.sha256,
            )
            for file in files
        ),
        kind=kind,
        without=tuple(Reason(row.item, row.of, row.reason) for row in reasons),
    )


def _engineer_decision(verdict: Verdict) -> EngineerDecision:
    return EngineerDecision(
        finding=verdict.finding,
        subject=verdict.subject,
        basis=verdict.basis,
        reason=verdict.reason,
        by=str(verdict.by),
        on=timezone.localdate(verdict.at),
        agreement_reference=verdict.operator_reference,
        agreement_on=verdict.operator_date,
        way=verdict.way,
    )


def _hindrances(
    makings: PackMakings, declaration: InstallerDeclaration | None
) -> tuple[Hindrance, ...]:
    """All hindrances, also those that a reason answers."""
    decided = makings.decided
    assert decided.site is not None
    assert decided.book is not None
    assert decided.decision is not None
    return pack_hindrances(
        decided.site,
        decided.decision,
        decided.book,
        prepared_on=timezone.localdate(),
        decisions=makings.decisions,
        kind=makings.kind,
        subject=decided.proposed,
        declaration=declaration,
    )


def _later(makings: PackMakings) -> tuple[LaterNeed, ...]:
    decided = makings.decided
    assert decided.site is not None
    assert decided.book is not None
    assert decided.decision is not None
    found = needed_later(
        decided.site,
        decided.decision,
        decided.book,
        prepared_on=timezone.localdate(),
        kind=makings.kind,
        subject=decided.proposed,
    )
    return tuple(LaterNeed(_STAGES[gap.stage], gap.says) for gap in found)


_STAGES = {
    "energising": "before energising",
    "confirmation": "once the work is done",
}


def _obstacles(
    hindrances: Iterable[Hindrance],
    findings: Iterable[OpenFinding],
    reasons: Container[tuple[str, str]],
    previous: FrozenPack | None,
    changes: tuple[Change, ...],
) -> tuple[Obstacle, ...]:
    found = [
        Obstacle(each.finding.sentence, "finding", f"findings.{each.finding.id}", each.finding)
        for each in findings
        if each.is_open
    ]
    for each in hindrances:
        if each.path.startswith("findings.") or (each.need, each.of) in reasons:
            continue  # Findings are listed above, with their place on the review page.
        where = {"declaration": "here", "procedure": "review", "rulebook": "nowhere"}
        says = _sentence(each.message)
        found.append(
            Obstacle(
                says,
                where.get(each.path, "sheet"),
                each.path,
                need=each.need,
                of=each.of,
                fact=each.fact,
            )
        )
    if previous is not None and not changes:
        found.append(Obstacle(NOTHING_CHANGED.format(previous.revision), "nowhere"))
    return tuple(found)


def _sentence(words: str) -> str:
    """Turn words into a sentence; keep a unit's id at the beginning as it is."""
    first = words.split(" ", 1)[0]
    if first in ("the", "no", "a", "an", "missing:"):
        words = f"{words[0].upper()}{words[1:]}"
    return f"{words}."


def annex_of(frozen: FrozenPack) -> Annex | None:
    """Return the annex as frozen; None for a pack from before there were annexes.

    Raises PackError if the stored bytes do not match the digests.
    """
    if not frozen.annex:
        return None
    kept = frozen.personal
    annex = _opened(
        read_annex(bytes(frozen.annex)),
        bytes(kept.annex) if kept else None,
        frozen.annex_digest,
        "annex",
    )
    if annex.pack != frozen.digest:
        raise PackError("digests.pack", "the stored annex is that of another pack")
    return annex


def notice_of(frozen: FrozenPack) -> Pack | None:
    """Return the notice of demand as frozen, if the pack has one; raises PackError as above."""
    if not frozen.notice:
        return None
    kept = frozen.personal
    return _opened(
        read_pack(bytes(frozen.notice)),
        bytes(kept.notice) if kept else None,
        frozen.notice_digest,
        "notice",
    )


def pack_of(frozen: FrozenPack) -> Pack:
    """Return the content as frozen, without its personal part if that was erased.

    Raises PackError if the stored bytes do not match the digests.
    """
    kept = frozen.personal
    return _opened(
        read_pack(bytes(frozen.technical)),
        bytes(kept.content) if kept else None,
        frozen.digest,
        "content",
    )


def _opened(content: _C, personal: bytes | None, digest: str, what: str) -> _C:
    """Frozen content with its personal part, where that was not erased; raises PackError."""
    if personal is not None:
        part = msgspec.json.decode(personal, type=Personal)
        content = structs.replace(content, personal=part)
        if wrong := digest_faults(content):
            raise PackError(f"digests.{wrong[0]}", f"the stored {what} was changed after freezing")
    if content.digests.pack != digest:
        raise PackError("digests.pack", f"the stored {what} is that of another pack")
    return content

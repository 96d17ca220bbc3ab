"""What can be sent of a case now, what is missing for it, and what was sent already."""

import datetime as dt

from django.utils import timezone
from msgspec import Struct

from connections.pack.pack_error import PackError
from sites.cases.models import Case
from sites.cases.moves import ENGINEER_REVIEW, PREPARING, Standing, lacking, target
from sites.cases.reading import standing_of
from sites.deciding.reading.deciding import decide_case
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import newest_pack, pack_of
from sites.review.models import Attachment
from sites.review.reading.attachments import files_of
from sites.sending.models import ACCEPTED, FAILED, MAIL, QUEUED, SENDING, UNKNOWN, Dispatch
from sites.sending.reading.operators import address_of, operator_of, operator_words
from sites.sending.reading.papers import Paper, papers_of

SENDS = ("send", "confirm", "notify")
"""The acts of the table of moves that sending does; one of them at most leads on from a state."""
LATE = dt.timedelta(minutes=10)
"""After this long without an end nobody works on a dispatch any more; our choice."""


class ShownDispatch(Struct, frozen=True):
    """A dispatch in words. `open` says that its end is not known and a person has to find out."""

    row: Dispatch
    says: str
    tone: str
    open: bool
    waits: bool
    can_again: bool
    can_return: bool


class ToSend(Struct, frozen=True):
    """The page of sending. `refusal` says why nothing can be sent now; empty where it can."""

    case: Case
    pack: FrozenPack | None
    refusal: str
    papers: tuple[Paper, ...]
    files: tuple[Attachment, ...]
    dispatches: tuple[ShownDispatch, ...]
    address: str
    operator: str
    operator_says: str
    kind: str

    @property
    def missing(self) -> tuple[Paper, ...]:
        """Wanted papers that are not there."""
        return tuple(paper for paper in self.papers if not paper.there)

    @property
    def sent_before(self) -> bool:
        """Whether this pack was sent, or may have been."""
        return any(
            each.row.pack_id == self.pack.pk and each.row.state != FAILED
            for each in self.dispatches
            if self.pack is not None
        )


def to_send(case: Case) -> ToSend:
    """What can be sent of a case now, what is missing for it, and what was sent."""
    pack = newest_pack(case.application)
    decided = decide_case(case)
    files = tuple(files_of(case))
    papers: tuple[Paper, ...] = ()
    kind = ""
    refusal = _refusal(standing_of(case), pack)
    if pack is not None and pack.personal_id is not None:
        try:
            content = pack_of(pack)
            kind = content.procedure.kind
            papers = papers_of(content, decided, files)
        except PackError as fault:
            refusal = f"The stored content can’t be trusted: {fault.message}."
    area = decided.book.area if decided.book is not None else ""
    return ToSend(
        case=case,
        pack=pack,
        refusal=refusal,
        papers=papers,
        files=files,
        dispatches=shown_dispatches(case),
        address=address_of(decided),
        operator=operator_of(area),
        operator_says=operator_words(area),
        kind=kind,
    )


def _refusal(standing: Standing, pack: FrozenPack | None) -> str:
    if pack is None:
        return "No pack is issued yet. An engineer issues it first."
    if pack.personal_id is None:
        return "The customer was erased from this pack; it can’t be sent any more."
    if not pack.pdf_sha256:
        return "The pack is not printed yet. Come back in a moment."
    if standing.state in (PREPARING, ENGINEER_REVIEW):
        return "The case was changed since the pack was issued. Issue a new revision first."
    act = act_of(standing)
    missing = lacking(act, standing) if act else ()
    if missing:
        return f"This is missing first: {'; '.join(missing)}."
    return ""


def act_of(standing: Standing) -> str:
    """The act by which sending moves a case from where it is; empty where it moves nothing."""
    return next((act for act in SENDS if target(act, standing) is not None), "")


def why_not(case: Case, pack: FrozenPack) -> str:
    """Why this pack may not be sent now, in a sentence; empty where it may."""
    newest = newest_pack(case.application)
    if newest is None or newest.pk != pack.pk:
        return "Another revision was issued meanwhile. Look at what would be sent now."
    return _refusal(standing_of(case), newest)


def shown_dispatches(case: Case) -> tuple[ShownDispatch, ...]:
    """What was sent of a case, the newest first; one query."""
    rows = (
        Dispatch.objects.filter(application=case.application_id)
        .select_related("pack", "sent_by")
        .defer("pack__technical", "pack__annex", "pack__notice")
        .order_by("-entered_at", "-pk")
    )
    return tuple(shown(row) for row in rows)


def shown(row: Dispatch) -> ShownDispatch:
    """A dispatch in words; one that is late in being sent counts as not known."""
    late = row.state == SENDING and timezone.now() - row.entered_at > LATE
    unknown = row.state == UNKNOWN or late
    if unknown:
        says, tone = (
            "It is not known whether this was sent",
            "stops",
        )
    else:
        says, tone = _SAYS[row.state]
    return ShownDispatch(
        row=row,
        says=says,
        tone=tone,
        open=unknown,
        waits=row.state in (QUEUED, SENDING) and not late,
        can_again=row.state == FAILED
        and row.way == MAIL
        and row.sent_on is None
        and bool(row.content_sha256),
        can_return=row.state == ACCEPTED,
    )


_SAYS = {
    QUEUED: ("It waits to be sent", "decide"),
    SENDING: ("It is being sent", "decide"),
    ACCEPTED: ("Sent", "done"),
    FAILED: ("Not sent", "stops"),
}


def troubles_of(case: Case) -> tuple[ShownDispatch, ...]:
    """Dispatches of a case that need a person: failed or not known, and none after them; one query.

    What failed is settled by a later one that was sent.
    """
    found: list[ShownDispatch] = []
    for each in shown_dispatches(case):
        if each.row.state == ACCEPTED:
            break
        if each.open or each.row.state == FAILED:
            found.append(each)
    return tuple(found)

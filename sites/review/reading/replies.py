"""Operator's answers to a case in words, with the remedies that meet them."""

from dataclasses import dataclass

from msgspec import structs

from sites.cases.models import Case
from sites.deciding.reading.deciding import DecidedSite, decide_case
from sites.deciding.reading.remedies import ShownRemedies, shown_remedies
from sites.energy.reading.remedy_years import with_years
from sites.review.models import Reply
from sites.review.models.reply import KINDS

_KIND = dict(KINDS)
_SPLIT = {
    True: "each phase its share only",
    False: "in all, on whichever phase",
    None: "",
}
ANSWERED = ("export-above-cap", "installed-above-cap", "cap-split-not-known")
"""Findings about an operator's cap."""


@dataclass(frozen=True)
class ShownReply:
    """An answer with its kind and figure in words."""

    reply: Reply
    kind: str
    figure: str


@dataclass(frozen=True)
class AnswerPage:
    """The operator's answers, the findings on them, and the remedies that meet them.

    `remedies` are those after which no cap stops the case; `partly` are those that clear one cap of
    several. Both are None if no cap stops the case.
    """

    case: Case
    replies: tuple[ShownReply, ...]
    decided: DecidedSite
    sentences: tuple[str, ...]
    remedies: ShownRemedies | None
    partly: ShownRemedies | None
    phases: int


def shown_reply(reply: Reply) -> ShownReply:
    """Return an answer in words."""
    split = _SPLIT[reply.split_equally]
    return ShownReply(
        reply, _KIND[reply.kind], ", ".join(part for part in (reply.written, split) if part)
    )


def answer_page(case: Case) -> AnswerPage:
    """Return the page of a case's answers, with the remedies that meet all caps or some."""
    decided = decide_case(case, remedies=True)
    decision = decided.decision
    findings = [f for f in decision.findings if f.id in ANSWERED] if decision is not None else []
    asked = {finding.id for finding in findings if finding.severity == "stops"}
    remedies = decision.remedies if decision is not None else ()
    answering = [remedy for remedy in remedies if asked & set(remedy.clears)]
    meeting = tuple(remedy for remedy in answering if asked <= set(remedy.clears))
    partly = tuple(remedy for remedy in answering if remedy not in meeting)
    replies = Reply.objects.filter(case=case).select_related("entered_by", "taken_back_by")
    supply = decided.site.supply.phases if decided.site is not None else 0
    return AnswerPage(
        case=case,
        replies=tuple(shown_reply(reply) for reply in replies),
        decided=decided,
        sentences=tuple(finding.sentence for finding in findings),
        remedies=with_years(
            shown_remedies(structs.replace(decision, remedies=meeting)),
            case.design,
            decided,
            "answers",
        )
        if decision is not None and asked
        else None,
        partly=shown_remedies(structs.replace(decision, remedies=partly, remedies_stopped=""))
        if decision is not None and partly
        else None,
        phases=supply,
    )

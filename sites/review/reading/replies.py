"""Operator's answers to a case in words, with the remedies that meet them."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from msgspec import structs

from sites.cases.models import Case, KeptDecision
from sites.cases.moves import CLOCK_RUNNING, OFFER_RECEIVED, SENT
from sites.deciding.reading.deciding import DecidedSite, decide_case
from sites.deciding.reading.remedies import ShownRemedies, shown_remedies
from sites.energy.reading.remedy_years import with_years
from sites.premises.reading.site_rows import today
from sites.review.models import Condition, Reply
from sites.review.models.reply import AGREED, CONDITION, KINDS, SETTLING, WHEN

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
    charge: str


@dataclass(frozen=True)
class ShownCondition:
    """A condition that counts, and in words what it holds up."""

    condition: Condition
    when: str


@dataclass(frozen=True)
class AnswerPage:
    """The operator's answers, the findings on them, and the remedies that meet them.

    `remedies` are those after which no cap stops the case; `partly` are those that clear one cap of
    several. Both are None if no cap stops the case. `offer` is the answer that can be accepted now;
    `late` says that the answer is overdue.
    """

    case: Case
    replies: tuple[ShownReply, ...]
    conditions: tuple[ShownCondition, ...]
    offer: Reply | None
    late: str
    decided: DecidedSite
    sentences: tuple[str, ...]
    remedies: ShownRemedies | None
    partly: ShownRemedies | None
    phases: int


def shown_reply(reply: Reply) -> ShownReply:
    """Return an answer in words."""
    split = _SPLIT[reply.split_equally]
    return ShownReply(
        reply,
        _KIND[reply.kind],
        ", ".join(part for part in (reply.written, split) if part),
        "" if reply.charge_pence is None else f"£{reply.charge_pence / 100:,.2f}",
    )


def settling(replies: Iterable[Reply]) -> Reply | None:
    """The last answer, of answers in order, that agrees to something and was not taken back."""
    found = [each for each in replies if each.kind in SETTLING and each.taken_back_at is None]
    return found[-1] if found else None


def last_day(reply: Reply | None, state: str) -> tuple[dt.date | None, str]:
    """The last day of what the operator offers or agreed, and what it is the day of."""
    if reply is None:
        return None, ""
    if state == OFFER_RECEIVED:
        return reply.valid_until, "The offer ends"
    if reply.accepted_on is not None:
        return reply.agreed_until, "The agreement ends"
    as_agreed = reply.kind in (AGREED, CONDITION)
    return reply.valid_until if as_agreed else None, "The agreement ends"


def no_answer(state: str, kept: KeptDecision | None) -> str:
    """In words that the operator's answer is overdue; empty where it is not."""
    days = kept.days if kept is not None else []
    due = next(
        (dt.date.fromisoformat(each["on"]) for each in days if each["key"] == "answer"), None
    )
    if state not in (SENT, CLOCK_RUNNING) or due is None or due >= today():
        return ""
    if state == SENT:
        return "The operator has not said that the application is complete. Ask it."
    return (
        f"The operator’s answer was due by {due.day} {due:%B %Y}, and none is entered. "
        "No answer is no agreement: ask the operator."
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
    replies = list(
        Reply.objects.filter(case=case).select_related("entered_by", "taken_back_by", "file")
    )
    conditions = Condition.objects.filter(reply__case=case, reply__taken_back_at=None)
    when = dict(WHEN)
    supply = decided.site.supply.phases if decided.site is not None else 0
    return AnswerPage(
        case=case,
        replies=tuple(shown_reply(reply) for reply in replies),
        conditions=tuple(
            ShownCondition(each, when[each.when])
            for each in sorted(
                conditions.select_related("met_by"), key=lambda row: [*when].index(row.when)
            )
        ),
        offer=settling(replies) if case.state == OFFER_RECEIVED else None,
        late=no_answer(case.state, KeptDecision.objects.filter(case=case).first()),
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

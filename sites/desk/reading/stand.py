"""Where a case stands: its state, what comes next, what can be done now, and its moves."""

import datetime as dt
from collections.abc import Iterator

from django.urls import reverse
from msgspec import Struct, convert

from connections.pack.figures import counted
from sites.cases.models import Case, Move
from sites.cases.moves import (
    ACTS,
    ALL,
    DESK,
    NEXT_STEPS,
    OVER,
    STATES,
    Standing,
    lacking,
    possible,
    target,
    without_agreement,
)
from sites.cases.reading import kept_of, standing_after
from sites.people.models import Person
from sites.premises.reading.site_rows import today
from sites.review.reading.due import NOT_BEFORE, Day
from sites.review.reading.replies import no_answer


class Doable(Struct, frozen=True):
    """An act that may be done now; `missing` says what it needs first."""

    key: str
    says: str
    asks: str
    day: str
    reason: bool
    missing: tuple[str, ...]


class Way(Struct, frozen=True):
    """A page on which the next step is done."""

    says: str
    address: str


class Stand(Struct, frozen=True):
    """Where a case stands. Either `primary` or `way` does the next step, or neither."""

    case: Case
    says: str
    tone: str
    next: str
    due_on: dt.date | None
    due_says: str
    not_before: bool
    overdue: bool
    days: tuple[Day, ...]
    stale: bool
    late: str
    waits: tuple[str, ...]
    early: bool
    primary: Doable | None
    way: Way | None
    others: tuple[Doable, ...]
    moves: tuple[tuple[Move, str, str], ...]
    undo: bool
    hands_over: bool
    begins_again: bool
    earlier: tuple[Case, ...]


_ACT_OF = {
    "send-to-engineer": "to-engineer",
    "clear-to-install": "clear",
    "wait-for-clock": "start-clock",
    "inform": "start-clock",
    "book": "book",
    "complete": "complete",
    "prepare-again": "again",
}
"""The act of a next step that is done on this page."""

_WAYS = {
    "fill-in": ("Open the survey sheet", "design-sheet", "design"),
    "clear-stops": ("Look at what stops it", "case-review", "case"),
    "answer-question": ("Answer the question", "case-review", "case"),
    "decide": ("Review the findings", "case-review", "case"),
    "issue": ("Look at the pack", "pack-preview", "application"),
    "issue-confirmation": ("Look at the confirmation", "pack-preview", "application"),
    "issue-notification": ("Look at the notification", "pack-preview", "application"),
    "send": ("Send the pack", "case-send", "case"),
    "confirm": ("Send the confirmation", "case-send", "case"),
    "notify": ("Send the notification", "case-send", "case"),
    "wait-for-works": ("Look at the network works", "case-works", "case"),
    "wait-for-answer": ("Enter the operator’s answer", "case-answers", "case"),
    "answer-offer": ("Look at the answer", "case-answers", "case"),
    "install": ("Enter the commissioning", "case-commissioned", "case"),
}
"""The page of any other next step: its words, its name, and what its key is of."""


def stand_of(case: Case, person: Person) -> Stand:
    """Where a case stands, for this person; the number of queries is constant."""
    kept = kept_of(case)
    moves = list(case.moves.select_related("by").order_by("-number"))
    standing = standing_after(
        case, kept, [(each.act, each.from_state, each.to_state) for each in moves]
    )
    roles = [key for key in ALL if person.has_role(key)]
    doable = [_doable(key, standing) for key in possible(standing, roles)]
    step = kept.next_step if kept is not None else ""
    wanted = _ACT_OF.get(step)
    if step == "wait-for-clock" and standing.last_act == "send":
        wanted = "acknowledge"
    primary = next((each for each in doable if each.key == wanted and not each.missing), None)
    state = STATES[case.state]
    commissions = target("commission", standing) is not None
    desk = bool(DESK & set(roles))
    return Stand(
        case=case,
        says=state.says,
        tone=state.tone,
        next=NEXT_STEPS.get(step, ""),
        due_on=kept.due_on if kept is not None else None,
        due_says=kept.due_says if kept is not None else "",
        not_before=kept is not None and kept.due_says == NOT_BEFORE,
        overdue=kept is not None and kept.due_on is not None and kept.due_on < today(),
        days=convert(kept.days if kept is not None else [], tuple[Day, ...]),
        stale=kept is None or kept.premises_version != case.premises.version,
        late=no_answer(case.state, kept),
        waits=tuple(_waits(standing)),
        early=bool(case.early) or without_agreement(standing),
        primary=primary,
        way=_way(step, case) or (_way("install", case) if commissions and not primary else None),
        others=tuple(each for each in doable if each is not primary and each.key != "undo"),
        moves=tuple((each, ACTS[each.act].did, STATES[each.to_state].says) for each in moves),
        undo=any(each.key == "undo" for each in doable),
        hands_over=desk,
        begins_again=desk and case.state in OVER,
        earlier=tuple(
            Case.objects.filter(premises=case.premises_id)
            .exclude(pk=case.pk)
            .select_related("application")
            .order_by("pk")
        ),
    )


def _waits(standing: Standing) -> Iterator[str]:
    """What the operator set or does that holds up an act, in words."""
    for count, when in (
        (standing.to_install, "before installing"),
        (standing.to_energise, "before energising"),
        (standing.afterwards, "after the work"),
    ):
        if count:
            yield f"{counted(count, 'condition')} {when} open"
    if standing.queries:
        yield "the operator’s record not answered"
    if standing.works:
        yield f"{counted(standing.works, 'job')} on the network not done"


def _doable(key: str, standing: Standing) -> Doable:
    act = ACTS[key]
    return Doable(key, act.says, act.asks, act.day, act.reason, lacking(key, standing))


def _way(step: str, case: Case) -> Way | None:
    found = _WAYS.get(step)
    if found is None:
        return None
    says, name, of = found
    row = {"design": case.design, "case": case, "application": case.application}[of]
    return Way(says, reverse(name, args=[row.key]))

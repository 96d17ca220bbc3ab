"""What the table of moves judges a case by, and the operator's clock on it."""

import datetime as dt
from collections.abc import Sequence

from django.utils import timezone
from msgspec import Struct, structs

from sites.cases.models import Case, KeptDecision
from sites.cases.moves import ENDED, ENGINEER_REVIEW, Standing


def kept_of(case: Case) -> KeptDecision | None:
    """The kept decision on a case, read anew."""
    return KeptDecision.objects.filter(case=case.pk).first()


ENDED_LAST = "2"


def urgency_of(kept: KeptDecision, state: str) -> str:
    """The place of a case in lists, as text to sort by: what stops, then by due day, ended last."""
    if state in ENDED:
        return ENDED_LAST
    # "9" comes after every day: nothing is due.
    return f"{0 if kept.stops else 1}{kept.due_on or 9}"


def is_for_engineer(kept: KeptDecision, state: str) -> bool:
    """Whether a case waits for an engineer, or has something that stops it or is to be decided."""
    return state == ENGINEER_REVIEW or (state not in ENDED and bool(kept.stops or kept.to_decide))


def standing_of(case: Case) -> Standing:
    """Where a case is and what it has; two queries."""
    moves = case.moves.order_by("-number").values_list("act", "from_state", "to_state")
    return standing_after(case, kept_of(case), list(moves))


def standing_after(
    case: Case, kept: KeptDecision | None, moves: Sequence[tuple[str, str, str]]
) -> Standing:
    """Where a case is and what it has, by its moves (act, from, to), the newest first."""
    last = moves[0] if moves else ("", "", "")
    told = False
    for act, _came_from, _to in moves:
        told = told or act == "issue-after"
        if act == "commission":
            break
    else:
        told = False
    standing = Standing(
        state=case.state,
        way=case.way,
        told=told,
        early=case.early,
        last_act=last[0],
        before=last[1],
    )
    if kept is None:
        return standing
    return structs.replace(
        standing,
        kind=kept.kind,
        stops=kept.stops,
        to_decide=kept.to_decide,
        missing=kept.missing,
        energised=kept.energised,
        to_install=kept.open_install,
        to_energise=kept.open_energising,
        afterwards=kept.open_after,
        works=kept.open_works,
        queries=kept.open_queries,
    )


class Clock(Struct, frozen=True):
    """The operator's clock on what was sent last.

    `sent_on` is the day of sending and `complete_on` that on which the clock began; None before.
    `stood` are the spells in which it stood still, from the day on which the operator wanted more
    to the day on which it was complete again; `stopped` that it stands still now.
    """

    sent_on: dt.date | None = None
    complete_on: dt.date | None = None
    stood: tuple[tuple[dt.date, dt.date], ...] = ()
    stopped: bool = False


def clock_of(case: Case) -> Clock:
    """The operator's clock, by the moves of the case since it was sent last; one query."""
    sent: dt.date | None = None
    complete: dt.date | None = None
    stop: dt.date | None = None
    stood: list[tuple[dt.date, dt.date]] = []
    last = ""
    for act, on, at in case.moves.order_by("number").values_list("act", "on", "at"):
        day = on or timezone.localdate(at)
        if act == "send":
            sent, complete, stop, stood = day, None, None, []
        elif act == "want":
            stop = stop or day
        elif act == "start-clock":
            if complete is None:
                complete = day
            elif stop is not None and stop < day:
                stood.append((stop, day))
            stop = None
        elif act == "undo" and last == "want":
            stop = None
        last = act
    return Clock(sent, complete, tuple(stood), stop is not None)

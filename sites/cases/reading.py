"""What the table of moves judges a case by."""

from collections.abc import Sequence

from msgspec import structs

from sites.cases.models import Case, KeptDecision
from sites.cases.moves import COMMISSIONED, ENDED, ENGINEER_REVIEW, Standing


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
    for act, came_from, to in moves:
        told = told or act == "issue-after"
        if to == COMMISSIONED != came_from:
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
    )

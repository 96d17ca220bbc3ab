"""Letters and calls about cases, and which of them are to be chased."""

import datetime as dt
from collections.abc import Iterable

from msgspec import Struct

from sites.cases.models import Case
from sites.sending.models import Conversation


class Chase(Struct, frozen=True):
    """Something to ask again: of which case, on which day, and whom."""

    case: int
    on: dt.date
    whom: str


def chases_of(cases: Iterable[Case]) -> dict[int, tuple[Chase, ...]]:
    """What is to be chased of cases, by their primary keys, the earliest first; one query."""
    rows = (
        Conversation.objects.filter(
            case__in=[case.pk for case in cases], chase_on__isnull=False, chased_at=None
        )
        .order_by("chase_on", "pk")
        .values_list("case", "chase_on", "with_whom")
    )
    found: dict[int, tuple[Chase, ...]] = {}
    for case, on, whom in rows:
        if on is not None:
            found[case] = (*found.get(case, ()), Chase(case, on, whom))
    return found


def conversations_of(case: Case) -> list[Conversation]:
    """The letters and calls of a case, the newest first; one query."""
    return list(case.conversations.select_related("by"))

"""Enters an engineer's reason to send a pack without needed facts."""

from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone

from sites.cases.models import Case
from sites.cases.writing import raise_version
from sites.house.refusals import FactsChangedError, NotAllowedError, RefusedError
from sites.house.writing.events import record
from sites.packs.models import SentWithout
from sites.packs.reading.packs import draft_of
from sites.people.models import Person

LONGEST_REASON = 600
"""It is printed beside the gap (our choice)."""


@transaction.atomic
def send_without(
    *, case: Case, facts: Sequence[tuple[str, str]], reason: str, by: Person
) -> list[SentWithout]:
    """Let the pack be sent without these facts, each a data item and its row, for one reason.

    Raises NotAllowedError for anybody but an engineer. Raises RefusedError without a fact or a
    reason, and FactsChangedError if a fact is known by now or no pack goes without it.
    """
    if not by.is_engineer:
        raise NotAllowedError("Only an engineer may send a pack without a needed fact.")
    reason = " ".join(reason.split())
    if not facts:
        raise RefusedError("Choose at least one fact.", "facts")
    if not reason:
        raise RefusedError("Give the reason; it is printed in the pack.", "reason")
    if len(reason) > LONGEST_REASON:
        raise RefusedError(
            f"Keep it to {LONGEST_REASON} characters; this has {len(reason)}.", "reason"
        )
    raise_version(case)
    draft = draft_of(case.application)
    lacking = {(each.need, each.of) for each in draft.obstacles if each.need}
    lacking |= {(each.row.item, each.row.of) for each in draft.sent_without}
    if not lacking.issuperset(facts):
        raise FactsChangedError(
            "What the pack lacks has changed since you opened this page. Look at it again."
        )
    now = timezone.now()
    rows = [
        SentWithout.objects.create(case=case, item=item, of=of, reason=reason, by=by, at=now)
        for item, of in dict.fromkeys(facts)
    ]
    record(
        "pack.sent-without",
        by=by,
        subject=case.application,
        data={"facts": sorted({row.item for row in rows})},
    )
    return rows

"""What stands on the work list beside the state of a case."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from uuid import UUID

from django.db.models import Max, OuterRef, QuerySet, Subquery
from msgspec import structs

from sites.cases.models import Case
from sites.house.models import Event
from sites.looks.reading.found_by_looks import touched, touched_rows
from sites.packs.models import FrozenPack
from sites.people.models import Person
from sites.premises.models import Draft
from sites.review.reading.case_list import MOST_COUNTED, ListedCase

NEW_SHEET = "premises/new"

# Acts after which an issued pack may no longer match the rows.
CHANGES = (
    "premises.saved",
    "design.saved",
    "design.chosen",
    "cap.added",
    "cap.removed",
    "finding.decided",
    "findings.decided",
    "pack.sent-without",
    "attachment.added",
    "attachment.taken-out",
)


def with_beside(rows: Sequence[ListedCase]) -> list[ListedCase]:
    """Add to the rows of a page who types on them, how their last pack is, and what the rules do.

    The number of queries does not depend on the number of rows.
    """
    cases = {
        case.key: case
        for case in Case.objects.filter(key__in=[row.key for row in rows]).select_related(
            "premises", "application", "design"
        )
    }
    typing = _typing(cases.values())
    packs = _packs(cases.values())
    rules = touched(case.pk for case in cases.values())
    return [
        structs.replace(
            row,
            beside=(
                *typing.get(case.pk, ()),
                *packs.get(case.pk, ()),
                *(each.says for each in rules.get(case.pk, ())),
            ),
        )
        for row in rows
        for case in (cases[row.key],)
    ]


def touched_cases() -> QuerySet[Case, int]:
    """Return the primary keys of the cases that a change of rules touches."""
    return Case.objects.filter(pk__in=touched_rows().values("case")).values_list("pk", flat=True)


def touched_in_words(cases: QuerySet[Case, int]) -> str:
    """Return how many cases a change of rules touches; empty for none."""
    count = cases.order_by()[: MOST_COUNTED + 1].count()
    if count > MOST_COUNTED:
        return f"more than {MOST_COUNTED:,} cases"
    return f"{count} case{'' if count == 1 else 's'}" if count else ""


def new_sheet_begun(person: Person) -> Draft | None:
    """Return the person's draft of a new premises, if any."""
    return Draft.objects.filter(person=person, page=NEW_SHEET).first()


def _typing(cases: Iterable[Case]) -> dict[int, list[str]]:
    """Return in words who has unsaved typing on the sheet of each case."""
    pages = {f"sheet/{case.design.key}": case.pk for case in cases}
    people: dict[int, list[str]] = defaultdict(list)
    for draft in Draft.objects.filter(page__in=pages).select_related("person").order_by("pk"):
        people[pages[draft.page]].append(str(draft.person))
    return {
        pk: [f"{_listed(names)} {'has' if len(names) == 1 else 'have'} unsaved typing"]
        for pk, names in people.items()
    }


def _packs(cases: Iterable[Case]) -> dict[int, list[str]]:
    """Return in words how the last issued pack of each case is, where there is something to say."""
    cases = list(cases)
    last = FrozenPack.objects.filter(application=OuterRef("application")).order_by("-revision")
    packs = {
        pack.application_id: pack
        for pack in FrozenPack.objects.filter(
            application__in=[case.application_id for case in cases],
            pk=Subquery(last.values("pk")[:1]),
        ).only("application", "revision", "pdf_sha256", "print_fault", "issued_at")
    }
    issued: list[UUID] = [
        key
        for case in cases
        if case.application_id in packs
        for key in (case.premises.key, case.application.key)
    ]
    changed = dict(
        Event.objects.filter(subject_key__in=issued, act__in=CHANGES)
        .order_by()
        .values_list("subject_key")
        .annotate(Max("at"))
    )
    found: dict[int, list[str]] = {}
    for case in cases:
        pack = packs.get(case.application_id)
        if pack is None:
            continue
        said = found[case.pk] = []
        if not pack.pdf_sha256:
            said.append(
                f"Revision {pack.revision} could not be printed"
                if pack.print_fault
                else f"Revision {pack.revision} is being printed"
            )
        since = (case.premises.key, case.application.key)
        if any(changed.get(key, pack.issued_at) > pack.issued_at for key in since):
            said.append(f"Changed since revision {pack.revision} was issued")
        elif not said:
            said.append(f"Revision {pack.revision} issued")
    return found


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

"""The work list: one row per premises, with its state and next act."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID

from django.db.models import Count, Max, Q, QuerySet, Value
from django.db.models.functions import Replace
from msgspec import Struct

from connections.facts.decision import Finding
from sites.cases.models import Case
from sites.house.models import Event
from sites.looks.reading.found_by_looks import Touched, touched
from sites.packs.models import FrozenPack
from sites.people.models import Person
from sites.premises.models import Design, Draft, Premises
from sites.review.models import Question, Verdict
from sites.review.reading.cases_in_short import Judged, judge, still_open

NEW_SHEET = "premises/new"

STATES: dict[str, str] = {
    "question": "Question for the office",
    "typing": "Being typed",
    "facts": "Facts missing",
    "stopped": "Stopped",
    "engineer": "Waiting for an engineer",
    "work": "Waiting for the work to be done",
    "ready": "Ready to issue",
    "printing": "Printing",
    "not-printed": "Could not be printed",
    "issued": "Issued",
}
"""States of a premises, in the order of the filter."""

TONES: dict[str, str] = {
    "question": "decide",
    "stopped": "stops",
    "not-printed": "stops",
    "engineer": "decide",
    "ready": "done",
    "issued": "done",
}
"""Colour that repeats the words of a state, if any."""

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

# Number of premises read at a time when filtering by state.
BATCH = 500


class Next(Struct, frozen=True):
    """The next act: its words, the page's name and the key in its address."""

    says: str
    page: str
    key: UUID


class WorkRow(Struct, frozen=True):
    """A premises on the work list; `lacking` says in words what stops it or is missing."""

    key: UUID
    reference: str
    name: str
    postcode: str
    procedure: str
    lacking: tuple[str, ...]
    state: str
    says: str
    tone: str
    beside: tuple[str, ...]
    next: Next


class _Around(Struct, frozen=True):
    """Related rows of the premises on a page, by primary key."""

    cases: dict[int, Case]
    judged: dict[int, Judged]
    open_findings: dict[int, tuple[Finding, ...]]
    packs: dict[int, FrozenPack]
    changed_at: dict[UUID, datetime]
    questions: dict[int, int]
    typing: dict[int, list[str]]
    designs: dict[int, Design]
    touched: dict[int, list[Touched]]


def premises_matching(words: str) -> QuerySet[Premises]:
    """Return premises that match every word, latest changed first.

    Searches reference, name, address, postcode, names of parties and supply numbers. Ignores spaces
    in postcodes and supply numbers.
    """
    words = words.replace("\0", "")[:200]
    if not words.strip():
        return Premises.objects.order_by("-changed_at", "-pk")
    each_word = Q()
    for word in words.split()[:8]:
        each_word &= (
            Q(reference__icontains=word)
            | Q(name__icontains=word)
            | Q(address_lines__icontains=word)
            | Q(postcode__icontains=word)
            | Q(pk__in=_with_party(word))
            | Q(pk__in=_with_number(word))
        )
    whole = "".join(words.split())
    return (
        Premises.objects.annotate(closed_up=Replace("postcode", Value(" "), Value("")))
        .filter(each_word | Q(closed_up__iexact=whole) | Q(pk__in=_with_number(whole)))
        .order_by("-changed_at", "-pk")
    )


def work_rows(premises: Sequence[Premises], *, person: Person) -> list[WorkRow]:
    """Return the rows of these premises in order, for this person.

    The number of queries does not depend on the number of premises.
    """
    around = _around(premises)
    return [_row(each, around, person) for each in premises]


def work_rows_in(found: QuerySet[Premises], *, state: str, person: Person) -> list[WorkRow]:
    """Return the rows of all matching premises in a state; some queries for each 500."""
    rows: list[WorkRow] = []
    keys = list(found.values_list("pk", flat=True))
    for start in range(0, len(keys), BATCH):
        batch = Premises.objects.in_bulk(keys[start : start + BATCH])
        ordered = [batch[pk] for pk in keys[start : start + BATCH] if pk in batch]
        rows += [row for row in work_rows(ordered, person=person) if row.state == state]
    return rows


def new_sheet_begun(person: Person) -> Draft | None:
    """Return the person's draft of a new premises, if any."""
    return Draft.objects.filter(person=person, page=NEW_SHEET).first()


def _around(premises: Sequence[Premises]) -> _Around:
    by_pk = {each.pk: each for each in premises}
    designs = {
        design.pk: design for design in Design.objects.filter(premises__in=by_pk).order_by("pk")
    }
    cases: dict[int, Case] = {}
    for case in (
        Case.objects.filter(premises__in=by_pk).select_related("application").order_by("pk")
    ):
        case.premises = by_pk[case.premises_id]
        if case.design_id in designs:
            case.design = designs[case.design_id]
        cases[case.premises_id] = case
    judged = judge(cases.values())
    verdicts: dict[int, list[Verdict]] = defaultdict(list)
    case_pks = [case.pk for case in cases.values()]
    for verdict in Verdict.objects.filter(case__in=case_pks).order_by("at", "pk"):
        verdicts[verdict.case_id].append(verdict)
    packs: dict[int, FrozenPack] = {}
    for pack in (
        FrozenPack.objects.filter(application__in=[case.application_id for case in cases.values()])
        .defer("technical", "attachments", "changes")
        .order_by("revision")
    ):
        packs[pack.application_id] = pack
    issued = [
        key
        for case in cases.values()
        if case.application_id in packs
        for key in (case.premises.key, case.application.key)
    ]
    return _Around(
        cases=cases,
        judged=judged,
        open_findings={pk: still_open(found, verdicts[pk]) for pk, found in judged.items()},
        packs=packs,
        changed_at=dict(
            Event.objects.filter(subject_key__in=issued, act__in=CHANGES)
            .order_by()
            .values_list("subject_key")
            .annotate(Max("at"))
        ),
        questions=dict(
            Question.objects.filter(case__in=case_pks, answered_at__isnull=True)
            .order_by()
            .values_list("case_id")
            .annotate(Count("pk"))
        ),
        typing=_typing(designs.values()),
        designs=designs,
        touched=touched(case_pks),
    )


def _typing(designs: Iterable[Design]) -> dict[int, list[str]]:
    """Return the people with unsaved typing on a sheet of each premises."""
    pages = {f"sheet/{design.key}": design.premises_id for design in designs}
    found: dict[int, list[str]] = defaultdict(list)
    for draft in Draft.objects.filter(page__in=pages).select_related("person").order_by("pk"):
        name = str(draft.person)
        if name not in found[pages[draft.page]]:
            found[pages[draft.page]].append(name)
    return found


def _row(premises: Premises, around: _Around, person: Person) -> WorkRow:
    case = around.cases.get(premises.pk)
    judged = around.judged[case.pk] if case else Judged(missing=1)
    open_findings = around.open_findings[case.pk] if case else ()
    pack = around.packs.get(case.application_id) if case else None
    questions = around.questions.get(case.pk, 0) if case else 0
    typing = around.typing.get(premises.pk, [])
    stops = sum(finding.severity == "stops" for finding in open_findings)
    changed = (
        case is not None
        and pack is not None
        and any(
            around.changed_at.get(key, pack.issued_at) > pack.issued_at
            for key in (premises.key, case.application.key)
        )
    )
    state = _state(
        judged,
        pack=None if changed else pack,
        stops=stops,
        to_decide=len(open_findings) - stops,
        questions=questions,
        typing=bool(typing),
    )
    beside = []
    if typing:
        beside.append(f"{_listed(typing)} {'has' if len(typing) == 1 else 'have'} unsaved typing")
    if pack is not None and changed:
        beside.append(f"Changed since revision {pack.revision} was issued")
    if case is not None:
        beside += [each.says for each in around.touched.get(case.pk, ())]
    return WorkRow(
        key=premises.key,
        reference=premises.reference,
        name=premises.name,
        postcode=premises.postcode,
        procedure=judged.procedure or "Cannot tell yet",
        lacking=_lacking(judged, stops, len(open_findings) - stops, questions),
        state=state,
        says=f"Issued, revision {pack.revision}" if state == "issued" and pack else STATES[state],
        tone=TONES.get(state, "plain"),
        beside=tuple(beside),
        next=_next(state, premises, case, pack, person),
    )


def _state(
    judged: Judged,
    *,
    pack: FrozenPack | None,
    stops: int,
    to_decide: int,
    questions: int,
    typing: bool,
) -> str:
    """Return the state; `pack` is the latest one, None if something changed since."""
    if pack is not None and not pack.pdf_sha256:
        return "not-printed" if pack.print_fault else "printing"
    if questions:
        return "question"
    if pack is not None:
        return "issued"
    if typing:
        return "typing"
    if not judged.settled and judged.missing:
        return "facts"
    if stops:
        return "stopped"
    if to_decide:
        return "engineer"
    if not judged.settled:
        return "stopped"
    if judged.kind == "notification" and judged.afterwards:
        return "work"
    return "ready"


def _lacking(judged: Judged, stops: int, to_decide: int, questions: int) -> tuple[str, ...]:
    found = []
    if judged.fault:
        return ("Not enough is known to decide",)
    # If the procedure can't be told, the missing facts are the stop: count it once.
    stops -= not judged.settled and judged.missing > 0
    if stops > 0:
        found.append(f"{_counted(stops, 'finding stops', 'findings stop')} it")
    if judged.missing:
        found.append(f"{_counted(judged.missing, 'fact', 'facts')} missing")
    if to_decide:
        found.append(f"{_counted(to_decide, 'finding', 'findings')} to decide")
    if questions:
        found.append(f"{_counted(questions, 'question', 'questions')} open")
    if judged.kind == "notification" and judged.afterwards:
        found.append("Dates and serial numbers, once installed")
    return tuple(found)


def _next(
    state: str,
    premises: Premises,
    case: Case | None,
    pack: FrozenPack | None,
    person: Person,
) -> Next:
    if case is None:
        return Next("Open the premises", "premises", premises.key)
    sheet = case.design.key
    if pack is not None and state in {"printing", "not-printed", "issued"}:
        return Next("Open the pack", "pack", pack.key)
    if state == "question":
        return Next("Answer the question", "case-review", case.key)
    if state == "typing":
        return Next("Go on typing", "design-sheet", sheet)
    if state == "facts":
        return Next("Fill in what is missing", "design-sheet", sheet)
    if state == "stopped":
        return Next("See what stops it", "premises", premises.key)
    if state == "engineer":
        if person.is_engineer:
            return Next("Review the findings", "case-review", case.key)
        return Next("See the findings", "premises", premises.key)
    if state == "work":
        return Next("Open the premises", "premises", premises.key)
    if person.is_engineer:
        return Next("See the pack and issue it", "pack-preview", case.application.key)
    return Next("See the pack", "pack-preview", case.application.key)


def _with_party(word: str) -> QuerySet[Premises, int]:
    return (
        Premises.objects.filter(parties__name__icontains=word)
        .order_by()
        .values_list("pk", flat=True)
    )


def _with_number(word: str) -> QuerySet[Premises, int]:
    return (
        Premises.objects.annotate(number=Replace("supply_numbers__value", Value(" "), Value("")))
        .filter(number__icontains=word)
        .order_by()
        .values_list("pk", flat=True)
    )


def _counted(count: int, one: str, more: str) -> str:
    return f"{count} {one if count == 1 else more}"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

"""Rows of the lists of cases, read from kept decisions: a list decides nothing."""

import datetime as dt
from collections.abc import Iterable, Iterator
from uuid import UUID

from django.core.paginator import Paginator
from django.db.models import Case as When
from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models import When as If
from msgspec import Struct

from sites.cases.models import Case, KeptDecision
from sites.cases.moves import NEXT_STEPS, STATES
from sites.people.models import Person
from sites.premises.models import Party
from sites.premises.reading.site_rows import today
from sites.review.reading.kept import stale_decisions

ROWS = 25
MOST_COUNTED = 1000
"""Cases that a list counts and turns through; our own choice. Who looks further filters."""

BY_URGENCY = "due"
_INDEXED = {BY_URGENCY: "urgency", "reference": "application__reference"}
_FEW = ("customer", "place", "owner", "state")
"""Orders that need every case at hand, and so a list of at most MOST_COUNTED."""

# The page on which a next step is taken: its address, and of what it holds the key.
_PAGES = {
    "fill-in": ("design-sheet", "design"),
    "answer-question": ("case-review", "case"),
    "decide": ("case-review", "case"),
    "issue": ("pack-preview", "application"),
    "issue-confirmation": ("pack-preview", "application"),
    "issue-notification": ("pack-preview", "application"),
}


class ListedCase(Struct, frozen=True):
    """A case on a list. `due` is in words, `overdue` and `stale` say what the words repeat."""

    key: UUID
    premises: UUID
    reference: str
    customer: str
    place: str
    postcode: str
    state: str
    says: str
    tone: str
    procedure: str
    stops: str
    open: str
    next: str
    next_page: str
    next_key: UUID
    due_on: dt.date | None
    due_says: str
    overdue: bool
    owner: str
    stale: str
    beside: tuple[str, ...] = ()
    given: int = 0
    """Equal in all rows: they come in the order that was asked for."""


class Counted(Paginator[Case]):
    """Pages of a list that counts no further than MOST_COUNTED, so that it reads few rows."""

    def __init__(self, cases: QuerySet[Case], counted: int) -> None:
        super().__init__(cases, ROWS)
        self.more = counted > MOST_COUNTED
        self._counted = min(counted, MOST_COUNTED)

    @property
    def count(self) -> int:
        """The number of cases that can be turned to."""
        return self._counted


def counted(cases: QuerySet[Case]) -> int:
    """Return the number of cases; one more than MOST_COUNTED where there are more."""
    # In the order of an index, or a database may rather read the whole table.
    return cases.order_by("urgency", "pk").values("pk")[: MOST_COUNTED + 1].count()


def cases_of(person: Person) -> QuerySet[Case]:
    """Return the cases that a person may see: an installer those of his own or given to him."""
    cases = Case.objects.all()
    if person.is_installer:
        return cases.filter(Q(owner=person) | Q(installer=person))
    return cases


def in_order(cases: QuerySet[Case], order: str, *, few: bool) -> tuple[QuerySet[Case], str]:
    """Put cases in an order, "-" before it for the other way round; returns the order taken.

    Without a known order, and for one that needs few cases where there are many, what stops comes
    first, then what is due first.
    """
    name = order.removeprefix("-")
    if name not in _INDEXED and not (few and name in _FEW):
        order = name = BY_URGENCY
    down = order.startswith("-")
    by = "urgency"
    if name in _INDEXED:
        by = _INDEXED[name]
    elif name == "place":
        by = "premises__postcode"
    elif name == "owner":
        by = "owner__name"
    elif name == "customer":
        customer = Party.objects.filter(premises=OuterRef("premises"), part="customer")
        cases = cases.annotate(by=Subquery(customer.values("name")[:1]))
        by = "by"
    elif name == "state":
        places = [If(state=key, then=Value(place)) for place, key in enumerate(STATES)]
        cases = cases.annotate(by=When(*places, default=Value(len(places))))
        by = "by"
    first = F(by).desc(nulls_last=True) if down else F(by).asc(nulls_last=True)
    if name in _INDEXED:  # never null, and plain so that every database takes the index
        first = F(by).desc() if down else F(by).asc()
    return cases.order_by(first, "-pk" if down else "pk"), order


def listed(cases: Iterable[int]) -> list[ListedCase]:
    """Return the rows of cases, given by primary key, in their order; four queries."""
    keys = list(cases)
    there = Case.objects.select_related("application", "premises", "design", "owner", "kept")
    by_key = there.in_bulk(keys)
    found = [by_key[key] for key in keys if key in by_key]
    customers = dict(
        Party.objects.filter(
            premises__in=[case.premises_id for case in found], part="customer"
        ).values_list("premises_id", "name")
    )
    pks = [case.pk for case in found]
    stale = set(stale_decisions().filter(case__in=pks).values_list("case_id", flat=True))
    return [_row(case, customers.get(case.premises_id, ""), case.pk in stale) for case in found]


def _row(case: Case, customer: str, stale: bool) -> ListedCase:
    kept: KeptDecision | None = getattr(case, "kept", None)
    state = STATES[case.state]
    step = kept.next_step if kept is not None else "nothing"
    page, of = _PAGES.get(step, ("premises", "premises"))
    keys = {
        "premises": case.premises.key,
        "design": case.design.key,
        "case": case.key,
        "application": case.application.key,
    }
    due_on = kept.due_on if kept is not None else None
    lines = case.premises.address_lines.splitlines()
    return ListedCase(
        key=case.key,
        premises=case.premises.key,
        reference=case.application.reference,
        customer=customer,
        place=lines[0] if lines else case.premises.name,
        postcode=case.premises.postcode,
        state=case.state,
        says=state.says,
        tone=state.tone,
        procedure=kept.procedure_title if kept is not None else "",
        stops=_stops(kept) if kept is not None else "",
        open="; ".join(_open(kept)) if kept is not None else "",
        next=NEXT_STEPS[step] if kept is not None else "Open the case",
        next_page=page,
        next_key=keys[of],
        due_on=due_on,
        due_says=kept.due_says if kept is not None else "",
        overdue=due_on is not None and due_on < today(),
        owner=str(case.owner) if case.owner is not None else "",
        stale=_stale(kept, stale),
    )


def _stale(kept: KeptDecision | None, stale: bool) -> str:
    if kept is None:
        return "Not decided yet"
    day = kept.as_of
    return f"Out of date: decided on {day.day} {day:%B %Y}" if stale else ""


def _stops(kept: KeptDecision) -> str:
    if kept.stops and not kept.fault:
        return _in_words(kept.stops, "finding stops it", "findings stop it")
    return ""


def _open(kept: KeptDecision) -> Iterator[str]:
    """What is open besides, in words."""
    if kept.fault:
        yield "Not enough is known to decide"
        return
    if kept.missing:
        yield _in_words(kept.missing, "fact missing", "facts missing")
    if kept.to_decide:
        yield _in_words(kept.to_decide, "finding to decide", "findings to decide")


def _in_words(count: int, one: str, more: str) -> str:
    return f"{count} {one if count == 1 else more}"

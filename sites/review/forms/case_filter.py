"""What a person looks for on a list of cases: read from the address, and nothing refused."""

import datetime as dt
from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet

from sites.cases.models import Case
from sites.cases.moves import STATES
from sites.people.models import Person
from sites.premises.reading.search import Found, find_premises
from sites.premises.reading.site_rows import today

ME, NOBODY = "me", "nobody"
DUE = {"overdue": "Overdue", "7": "In 7 days", "28": "In 28 days", "none": "No day"}
OPEN = {"stops": "Something stops it", "engineer": "For an engineer"}
TOUCHED = "touched"
ARCHIVED = {"yes": "Archived alone"}
HELP = (
    "Reference, customer, address, postcode, telephone, supply number, operator’s reference, "
    "maker, model or serial number; beginnings will do"
)


def _select(**attrs: str) -> forms.Select:
    return forms.Select(attrs={"class": "form-select", **attrs})


class CaseFilter(django_filters.FilterSet):  # type: ignore[misc]
    """Filters of a list of cases, each by an index of the case.

    `found` says what the search found, None where nothing is searched for. A choice that there is
    not counts as none.
    """

    q = django_filters.CharFilter(
        label="Look for",
        method="look_for",
        max_length=200,
        widget=forms.TextInput(
            attrs={"class": "form-control", "type": "search", "aria-describedby": "q-help"}
        ),
    )
    state = django_filters.ChoiceFilter(
        label="State",
        choices=[(key, state.says) for key, state in STATES.items()],
        empty_label="Any state",
        widget=_select(),
    )
    owner = django_filters.ChoiceFilter(
        label="Owner", method="of_owner", empty_label="Anybody", choices=[], widget=_select()
    )
    due = django_filters.ChoiceFilter(
        label="Due",
        method="due_by",
        empty_label="Any day",
        choices=list(DUE.items()),
        widget=_select(),
    )
    open = django_filters.ChoiceFilter(
        label="Open", method="with_open", empty_label="Anything", choices=[], widget=_select()
    )
    archived = django_filters.ChoiceFilter(
        label="Archived",
        method="unused",
        empty_label="Left out",
        choices=list(ARCHIVED.items()),
        widget=_select(),
    )

    class Meta:
        model = Case
        fields = ("q", "state", "owner", "due", "open", "archived")

    def __init__(
        self,
        data: Any,
        cases: "QuerySet[Case]",
        *,
        person: Person,
        touched: "QuerySet[Any] | None" = None,
    ) -> None:
        self.person, self.touched = person, touched
        self.found: Found | None = None
        super().__init__(data, cases)
        self.form.auto_id = "%s"
        people = Person.objects.filter(is_active=True).order_by("name", "pk")
        self._choose("owner", [(ME, "Me"), (NOBODY, "Nobody"), *((str(p.key), p) for p in people)])
        touching = [(TOUCHED, "Touched by a change of rules")] if touched is not None else []
        self._choose("open", [*OPEN.items(), *touching])

    def _choose(self, name: str, choices: list[tuple[str, object]]) -> None:
        """Offer choices that are known only now."""
        self.form.fields[name].choices = [(key, str(says)) for key, says in choices]

    def filter_queryset(self, queryset: "QuerySet[Case]") -> "QuerySet[Case]":
        """Leave archived cases out, unless they are asked for."""
        found: QuerySet[Case] = super().filter_queryset(queryset)
        return found.filter(archived_at__isnull=not self.form.cleaned_data.get("archived"))

    def unused(self, cases: "QuerySet[Case]", _name: str, _value: str) -> "QuerySet[Case]":
        """Nothing: archived cases are told apart at the end."""
        return cases

    def look_for(self, cases: "QuerySet[Case]", _name: str, words: str) -> "QuerySet[Case]":
        """The cases of the premises that the words find."""
        if not words.replace("\0", "").strip():
            return cases
        self.found = find_premises(words)
        return cases.filter(premises__in=self.found.premises)

    def of_owner(self, cases: "QuerySet[Case]", _name: str, owner: str) -> "QuerySet[Case]":
        """The cases of an owner; an installer's own are those given to him too."""
        if owner == NOBODY:
            return cases.filter(owner__isnull=True)
        if owner == ME:
            mine = Q(owner=self.person)
            return cases.filter(
                mine | Q(installer=self.person) if self.person.is_installer else mine
            )
        return cases.filter(owner__key=owner)

    def due_by(self, cases: "QuerySet[Case]", _name: str, due: str) -> "QuerySet[Case]":
        """The cases due before today, by a day, or by no day."""
        if due == "none":
            return cases.filter(urgency__in=("09", "19"))
        last = today() + dt.timedelta(days=-1 if due == "overdue" else int(due))
        return cases.filter(
            Q(urgency__gt="0", urgency__lte=f"0{last}")
            | Q(urgency__gt="1", urgency__lte=f"1{last}")
        )

    def with_open(self, cases: "QuerySet[Case]", _name: str, what: str) -> "QuerySet[Case]":
        """The cases with something open."""
        if what == TOUCHED:
            assert self.touched is not None
            return cases.filter(pk__in=self.touched)
        return (
            cases.filter(for_engineer=True) if what == "engineer" else cases.filter(urgency__lt="1")
        )

    @property
    def chips(self) -> list[tuple[str, str, str]]:
        """Each filter that counts: its name, its label, and its value in words."""
        if not self.form.is_bound:
            return []
        self.form.is_valid()
        chips = []
        for name, value in self.form.cleaned_data.items():
            if value and str(value).replace("\0", "").strip():
                field = self.form.fields[name]
                said = dict(getattr(field, "choices", ())).get(value, value)
                chips.append((name, str(field.label), str(said)))
        return chips

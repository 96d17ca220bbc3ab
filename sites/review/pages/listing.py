"""The page of a list of cases: filters in the address, an order, pages, and a file of it."""

import csv
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

import django_tables2 as tables
from django.core.paginator import Page
from django.db.models import QuerySet
from django.http import (
    HttpRequest,
    HttpResponseBase,
    QueryDict,
    StreamingHttpResponse,
)
from django.shortcuts import render
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from msgspec import Struct

from sites.cases.models import Case
from sites.people.models import Person
from sites.premises.reading.site_rows import today
from sites.review.forms.case_filter import HELP, ME, NOBODY, CaseFilter
from sites.review.models import SavedView
from sites.review.reading.case_list import (
    BY_URGENCY,
    MOST_COUNTED,
    Counted,
    ListedCase,
    cases_of,
    counted,
    in_order,
    listed,
)

MOST_IN_FILE = 10_000
"""Most cases in one file; our own choice, some seconds of reading."""
_AT_A_TIME = 500

LISTS = {"work": "work-list", "review": "review-list"}
"""The lists, and the names of their addresses."""

_STANDING: dict[str, tuple[tuple[str, str], ...]] = {
    "work": (
        ("All", "owner="),
        ("Mine", "owner=me"),
        ("Stopped", "open=stops"),
        ("Overdue", "due=overdue"),
    ),
    "review": (("All", "owner="), ("Mine", "owner=me"), ("In review", "state=engineer-review")),
}


class CaseTable(tables.Table):  # type: ignore[misc]
    """Cases in the order of the database: nothing is sorted here, so all rows compare as equal."""

    reference = tables.Column(order_by="given")
    customer = tables.Column(order_by="given")
    place = tables.Column("Address", order_by="given")
    next = tables.Column("Next step", orderable=False)
    due = tables.Column(accessor="due_on", order_by="given", empty_values=())
    owner = tables.Column(order_by="given")
    state = tables.Column(order_by="given")

    class Meta:
        order_by_field = "sort"
        default = ""

    def render_reference(self, record: ListedCase, value: str) -> SafeString:
        """The link to the case's page on this list."""
        return format_html(
            '<a href="{}">{}</a>', reverse(self.leads_to, args=[self.key_of(record)]), value
        )

    leads_to = "premises"

    def value_reference(self, value: str) -> str:
        """The reference alone."""
        return value

    def key_of(self, record: ListedCase) -> object:
        """The key in the link of the reference."""
        return record.premises if self.leads_to == "premises" else record.key

    def render_place(self, record: ListedCase) -> SafeString:
        """First line of the address, and postcode."""
        return format_html(
            '{}{}<span class="nowrap">{}</span>',
            record.place,
            ", " if record.place and record.postcode else "",
            record.postcode,
        )

    def value_place(self, record: ListedCase) -> str:
        """The same, as text."""
        return ", ".join(filter(None, (record.place, record.postcode)))

    def render_next(self, record: ListedCase, value: str) -> SafeString:
        """The next step as a link, and what is open."""
        step = (
            format_html("{}", value)
            if record.next_page == "premises"
            else format_html(
                '<a href="{}">{}<span class="unseen">: {}</span></a>',
                reverse(record.next_page, args=[record.next_key]),
                value,
                record.reference,
            )
        )
        if record.stops:
            step += format_html('<br><span class="says-stops">{}</span>', record.stops)
        return _under(step, filter(None, (record.open, record.stale)))

    def value_next(self, value: str) -> str:
        """The next step alone."""
        return value

    def render_due(self, record: ListedCase) -> SafeString:
        """The due day, and what it is the day of; a day that is past first of all says so."""
        if record.due_on is None:
            return SafeString("")
        day = date_format(record.due_on, "j F Y")
        if record.overdue:
            late = (today() - record.due_on).days
            days = "a day" if late == 1 else f"{late} days"
            said = format_html('<span class="says-stops">Overdue by {}</span>', days)
            return _under(said, (f"{record.due_says}, {day}",))
        return _under(format_html('<span class="nowrap">{}</span>', day), (record.due_says,))

    def value_due(self, record: ListedCase) -> str:
        """The day as text that sorts."""
        return record.due_on.isoformat() if record.due_on is not None else ""

    def render_state(self, record: ListedCase) -> SafeString:
        """The state in words, and what stands beside it."""
        return _under(
            format_html('<span class="says-{}">{}</span>', record.tone, record.says), record.beside
        )

    def value_state(self, record: ListedCase) -> str:
        """The state in words."""
        return record.says


class Chip(Struct, frozen=True):
    """A filter that counts, and the address without it."""

    label: str
    value: str
    without: str


def _under(said: SafeString, below: Iterable[str]) -> SafeString:
    return said + format_html_join(
        "", '<br><span class="soft">{}</span>', ((each,) for each in below)
    )


def show_cases(
    request: HttpRequest,
    of: str,
    *,
    person: Person,
    cases: QuerySet[Case] | None = None,
    touched: QuerySet[Any] | None = None,
    beside: Callable[[list[ListedCase]], list[ListedCase]] = list,
    context: Mapping[str, object] | None = None,
) -> HttpResponseBase:
    """Show a list of cases, or answer with a file of it where the address ends so (`as=csv`).

    `touched` are the cases that a change of rules touches; `beside` adds what stands beside the
    states. The queries and the rows that they read do not grow with the number of cases.
    """
    all_cases = cases_of(person)
    asked = request.GET.copy()
    if not asked and _sees_own_first(person, all_cases):
        asked["owner"] = ME
    filters = CaseFilter(
        asked, all_cases if cases is None else cases, person=person, touched=touched
    )
    number = counted(filters.qs)
    ordered, order = in_order(filters.qs, asked.get("sort", ""), few=number <= MOST_COUNTED)
    if asked.get("as") == "csv":
        return _file(ordered, of)
    pages = Counted(ordered, number)
    page: Page[Case] = pages.get_page(asked.get("page"))
    keys = ordered.values_list("pk", flat=True)
    rows = beside(listed(keys[page.start_index() - 1 : page.end_index()])) if number else []
    kept = _kept_address(filters, order)
    table = CaseTable(rows, order_by=order)
    table.leads_to = "case-review" if of == "review" else "premises"
    return render(
        request,
        "desk/list.html" if of == "work" else "review/list.html",
        {
            "of": of,
            "filters": filters,
            "help": HELP,
            "table": table,
            "columns": [
                (column, _sorted(kept, column.name, order) if column.orderable else "")
                for column in table.columns
            ],
            "rows": list(zip(rows, table.rows, strict=True)),
            "page": page,
            "most": MOST_COUNTED,
            "more": pages.more,
            "not_sorted": pages.more and asked.get("sort", order) != order,
            "found_more": filters.found is not None and filters.found.more,
            "chips": [
                Chip(label, value, _without(kept, name)) for name, label, value in filters.chips
            ],
            "asked": kept.urlencode(),
            "views": _views(of, person, kept),
            "may_assign": not person.is_installer,
            "owners": filters.form.fields["owner"].choices,
            "nothing_yet": not rows and not filters.chips and not all_cases.exists(),
            **(context or {}),
        },
    )


def _sees_own_first(person: Person, cases: QuerySet[Case]) -> bool:
    """Whether a list without an address of its own begins with the person's own cases."""
    if person.is_engineer or person.is_manager:
        return False
    return cases.filter(owner=person, archived_at__isnull=True).exists()


def _kept_address(filters: CaseFilter, order: str) -> QueryDict:
    """The filters that count, and an order that is not the usual one, as an address."""
    kept = QueryDict(mutable=True)
    for name, _label, _value in filters.chips:
        kept[name] = str(filters.form.cleaned_data[name])
    if order != BY_URGENCY:
        kept["sort"] = order
    return kept


def _without(kept: QueryDict, name: str) -> str:
    rest = kept.copy()
    del rest[name]
    return rest.urlencode() or "owner="


def _sorted(kept: QueryDict, name: str, order: str) -> str:
    """The address in the order of a column, the other way round where it is in this order."""
    rest = kept.copy()
    rest["sort"] = f"-{name}" if order == name else name
    return rest.urlencode()


def _views(
    of: str, person: Person, kept: QueryDict
) -> list[tuple[str, str, bool, SavedView | None]]:
    """The views of a list: name, address, whether it is shown now, and the row of a saved one."""
    here = kept.urlencode() or "owner="
    found: list[tuple[str, str, bool, SavedView | None]] = [
        (name, asked, asked == here, None) for name, asked in _STANDING[of]
    ]
    for view in SavedView.objects.filter(person=person, of=of):
        found.append((view.name, view.asked, view.asked == here, view))
    return found


def harmless(cell: str) -> str:
    """A cell of a file that no spreadsheet takes for a formula: an apostrophe goes before it.

    Source: OWASP, CSV Injection (signs that begin a formula, tab and carriage return).
    """
    return f"'{cell}" if cell[:1] in tuple("=+-@\t\r\n＝＋－＠") and cell else cell


def _file(cases: QuerySet[Case], of: str) -> StreamingHttpResponse:
    keys = list(cases.values_list("pk", flat=True)[:MOST_IN_FILE])
    answer = StreamingHttpResponse(_lines(keys), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="cases-{of}-{today()}.csv"'
    return answer


def _lines(keys: list[int]) -> Iterator[str]:
    writer: Any = csv.writer(_Echo())
    yield "\ufeff"  # so that spreadsheets read it as UTF-8
    for start in range(0, max(len(keys), 1), _AT_A_TIME):
        rows = listed(keys[start : start + _AT_A_TIME])
        lines = list(CaseTable(rows).as_values())
        if start == 0:
            yield writer.writerow([*lines[0], "Procedure", "Due for", "Stops", "Open"])
        for line, row in zip(lines[1:], rows, strict=True):
            cells = [*line, row.procedure, row.due_says, row.stops, row.open]
            yield writer.writerow([harmless(str(cell or "")) for cell in cells])


def csv_lines(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> Iterator[str]:
    """A table as lines of CSV that spreadsheets read as UTF-8, with harmless cells."""
    writer: Any = csv.writer(_Echo())
    yield "\ufeff"
    yield writer.writerow(heads)
    for row in rows:
        yield writer.writerow([harmless(cell) for cell in row])


class _Echo:
    """Hands each written line back."""

    def write(self, line: str) -> str:
        """Return the line."""
        return line


def owner_named(value: str, person: Person) -> Person | None:
    """The person that a box of owners names; None for nobody. Raises Person.DoesNotExist."""
    if value == NOBODY:
        return None
    return person if value == ME else Person.objects.get(key=value)

"""Refuse files that leave a gap in the decision table on any day on which it holds.

Walks the table once for every stretch of days with the same limits: for the edition alone, and with
each operator's or local layer that changes a limit. The process keeps the result under the digest
of everything the walk reads, and so walks the same table only once.
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence

from connections.facts.canonical import digest
from connections.rulebook.book import Rulebook, TableRow, Value
from connections.rulebook.checking.table import TableReport, check_table
from connections.rulebook.rulebook_errors import RulebookError
from connections.rulebook.schema import Part
from connections.rulebook.switching import live_outcomes, live_rows, switched_off

ALWAYS_ASKED = ("voltage.nominal",)
"""Values that the walk reads besides the rows: they bring amps and watts onto one scale."""

_DAY = dt.timedelta(days=1)
_MOST_KEPT = 512
_kept: dict[str, TableReport] = {}


def table_report(book: Rulebook) -> TableReport:
    """Walk the table of a resolved rulebook, or return the kept result."""
    asked = limits_of(book)
    what = digest(
        [
            [(row.id, row.outcome, row.when) for row in book.table],
            [outcome.key for outcome in book.outcomes],
            {key: (book.values[key].unit, book.values[key].amount) for key in sorted(asked)},
        ]
    )
    found = _kept.get(what)
    if found is None:
        if len(_kept) >= _MOST_KEPT:
            _kept.clear()
        found = _kept[what] = check_table(book)
    return found


def limits_of(book: Rulebook) -> frozenset[str]:
    """Keys of the held values that rows compare with or read a limit by."""
    return frozenset(key for key in _keys(book.table) if key in book.values)


def change_days(parts: Iterable[Part], keys: frozenset[str] | None = None) -> tuple[dt.date, ...]:
    """The days on which the content of `parts` changes, in order.

    These are the first days and the days after the last ones of files and of their dated values,
    caps and conditions, or only of the values named in `keys`.
    """
    days: set[dt.date] = set()
    for part in parts:
        days.add(part.since)
        if part.until is not None:
            days.add(part.until + _DAY)
        for key, value in part.values.items():
            if keys is None or key in keys:
                days.update(spell.since for spell in value.spells)
                days.update(spell.until + _DAY for spell in value.spells if spell.until)
        if keys is None:
            days.update(dated.cap.since for dated in part.caps)
            days.update(dated.condition.since for dated in part.conditions)
            ends = [dated.until for dated in part.caps]
            ends += [dated.until for dated in part.conditions]
            days.update(end + _DAY for end in ends if end is not None)
    return tuple(sorted(days))


def table_reports(
    edition: Part, layers: Sequence[Part] = ()
) -> Iterator[tuple[dt.date, TableReport]]:
    """Walk an edition anew from each day on which its limits change.

    `layers` lie on the edition in this order, each on its own days.
    """
    keys = frozenset(_keys(edition.rows))
    changing = [layer for layer in layers if keys & layer.values.keys()]
    for day in change_days((edition, *changing), keys):
        if edition.holds_on(day):
            on_day = [layer for layer in changing if layer.holds_on(day)]
            yield day, table_report(_table_on(edition, on_day, keys, day))


def refuse_gaps(edition: Part, layers: Sequence[Part] = ()) -> None:
    """Refuse a table that has no answer for some site on a day on which `edition` holds.

    `layers` lie on it in this order, each on its own days; if none gives a limit, there is no walk.
    Raises RulebookError at the table's last row, or at the layer's value.
    """
    keys = frozenset(_keys(edition.rows))
    changing = [layer for layer in layers if keys & layer.values.keys()]
    if layers and not changing:
        return
    for day, report in table_reports(edition, changing):
        # 2026-11-25: refuse a gap, but only report a row that no site reaches: it changes no answer
        # (`rulebook check`).
        if report.gaps:
            on_day = [layer for layer in changing if layer.holds_on(day)]
            _refuse(edition, on_day, keys, report, day)


def refuse_gap_in(book: Rulebook, edition: Part, layers: Sequence[Part]) -> None:
    """Refuse `layers` of a resolved rulebook if its table has no answer for some site."""
    keys = frozenset(_keys(edition.rows))
    changing = [layer for layer in layers if keys & layer.values.keys()]
    if changing and (report := table_report(book)).gaps:
        _refuse(edition, changing, keys, report, book.on_date)


def _keys(rows: Iterable[TableRow]) -> set[str]:
    keys = set(ALWAYS_ASKED)
    for row in rows:
        keys.add(row.switch)
        for condition in row.when:
            keys.update((condition.against, condition.reading))
    return keys - {""}


def _table_on(
    edition: Part, layers: Sequence[Part], keys: frozenset[str], day: dt.date
) -> Rulebook:
    """A rulebook with only the table and the limits of one day."""
    values: dict[str, Value] = {}
    for part in (edition, *layers):
        for key in keys & part.values.keys():
            dated = part.values[key]
            spell = dated.on(day)
            if spell is not None:
                values[key] = Value(
                    key=key,
                    says=spell.says or dated.says,
                    unit=dated.unit,
                    applies_to=spell.applies_to or dated.applies_to,
                    amount=spell.amount,
                    written=spell.written,
                    since=spell.since,
                    source=spell.source,
                    certainty=spell.certainty,
                    checked=spell.checked or dated.checked,
                    layer=part.key,
                )
    held = {key: value.amount for key, value in values.items()}
    rows = live_rows(edition.rows, held.get)
    return Rulebook(
        key=edition.key,
        edition=edition.edition,
        on_date=day,
        area="",
        layers=(),
        values=values,
        table=rows,
        outcomes=live_outcomes(edition.outcomes, switched_off(edition.rows, rows)),
        steps=(),
        settings=(),
        areas=(),
        digest="",
    )


def _refuse(
    edition: Part,
    layers: Sequence[Part],
    keys: frozenset[str],
    report: TableReport,
    day: dt.date,
) -> None:
    others = len(report.gaps) - 1
    more = f" (and for {others} more kind{'s' if others > 1 else ''} of site)" if others else ""
    when = f" from {day} on" if day > edition.since else ""
    site = report.gaps[0].replace("; ", ", ")
    fault = f"no row holds{when} for a site with {site}{more}"
    if layers:
        top = layers[-1]
        thing = f"value {min(keys & top.values.keys())}"
        raise RulebookError(
            top.places[thing],
            thing,
            f"with it {fault}; give a value with which every site has a row",
        )
    if not edition.rows:
        raise RulebookError(edition.file, "row", "the decision table has no row; give its rows")
    thing = f"row {edition.rows[-1].id}"
    raise RulebookError(
        edition.places[thing], thing, f"{fault}; widen this row or add one after it"
    )

"""Compare two resolved rulebooks: values, rows, outcomes, steps, settings, caps,
extra conditions, areas.

    told = difference(resolve(books, on=one_day), resolve(books, on=another_day))
    for change in told.changes:
        print(change.sentence)

Rulebooks may be of two dates, two areas, two editions, or with and without local entries.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Literal, TypeAlias, TypeVar

from msgspec import Struct

from connections.rulebook.book import (
    Area,
    ExportCap,
    ExtraCondition,
    Outcome,
    Rulebook,
    SettingTable,
    StepRule,
    TableRow,
    Value,
)
from connections.rulebook.difference.sentences import (
    area_sentence,
    cap_sentence,
    changed_value_sentence,
    extra_sentence,
    one_value_sentence,
    order_sentence,
    outcome_sentence,
    row_sentence,
    settings_sentence,
    step_sentence,
)

Kind: TypeAlias = Literal[
    "value",
    "row",
    "outcome",
    "step",
    "setting table",
    "order",
    "area",
    "export cap",
    "condition",
]
How: TypeAlias = Literal["added", "changed", "ended"]

_T = TypeVar("_T", bound=Struct)
_ONE_DAY = dt.timedelta(days=1)


class Side(Struct, frozen=True):
    """One of the two compared rulebooks."""

    key: str
    edition: str
    on_date: dt.date
    area: str
    layers: tuple[str, ...]
    digest: str

    def __str__(self) -> str:
        """Edition, layers above it, and date."""
        above = f" with {', '.join(self.layers[1:])}" if len(self.layers) > 1 else ""
        return f"{self.key}{above} as on {self.on_date}"


class Change(Struct, frozen=True):
    """One difference.

    `since` is the day of the change, None if the two rulebooks do not tell. `was` and `now` are
    amounts as the files write them, empty for anything but a value and for the side that lacks it.
    `parts` names the changed fields ("amount", "source", "certainty", ...), empty for something
    added or ended. Source and certainty are those of now, or of the ended thing.
    """

    kind: Kind
    key: str
    how: How
    since: dt.date | None
    was: str
    now: str
    parts: tuple[str, ...]
    source: str
    certainty: str
    layer: str
    sentence: str


class Difference(Struct, frozen=True):
    """All differences between two rulebooks; `changes` is empty if their content is equal."""

    before: Side
    after: Side
    changes: tuple[Change, ...]

    @property
    def sentences(self) -> tuple[str, ...]:
        """One sentence for each change, or one that says there is none."""
        if self.changes:
            return tuple(change.sentence for change in self.changes)
        return (f"Nothing is different between {self.before} and {self.after}.",)


def difference(before: Rulebook, after: Rulebook) -> Difference:
    """The changes from `before` to `after`; those of values by day, then by key."""
    changes: list[Change] = []
    if before.digest != after.digest:
        changes += sorted(_values(before, after), key=lambda c: (c.since or dt.date.min, c.key))
        changes += _things("outcome", before, after, _outcomes, outcome_sentence)
        changes += _things("row", before, after, _rows, row_sentence)
        changes += _order(before, after)
        changes += _things("step", before, after, _steps, step_sentence)
        changes += _things("setting table", before, after, _settings, settings_sentence)
        changes += _things("export cap", before, after, _caps, cap_sentence)
        changes += _things("condition", before, after, _extras, extra_sentence)
        changes += _things("area", before, after, _areas, area_sentence)
    return Difference(_side(before), _side(after), tuple(changes))


def differences(
    resolved: Callable[[dt.date], Rulebook], days: Iterable[dt.date], first: dt.date, last: dt.date
) -> Iterator[Difference]:
    """The differences on those of `days` after `first` and up to `last` that bring one.

    `resolved` gives the rulebook of a day; `days` are possible days of change (`gaps.change_days`).
    Compares each with the day before it.
    """
    for day in sorted(set(days)):
        if first < day <= last:
            told = difference(resolved(day - _ONE_DAY), resolved(day))
            if told.changes:
                yield told


def _side(book: Rulebook) -> Side:
    layers = tuple(layer.key for layer in book.layers)
    return Side(book.key, book.edition, book.on_date, book.area, layers, book.digest)


def _since(before: Rulebook, after: Rulebook, day: dt.date | None) -> dt.date | None:
    """The day of a change, if the dates of the two rulebooks confirm it."""
    if day is not None and before.on_date < day <= after.on_date:
        return day
    return after.on_date if after.on_date - before.on_date == _ONE_DAY else None


def _values(before: Rulebook, after: Rulebook) -> Iterator[Change]:
    for key in sorted(before.values.keys() | after.values.keys()):
        was, now = before.values.get(key), after.values.get(key)
        if was == now:
            continue
        if was is not None and now is not None:
            parts = _changed_parts(was, now)
            if parts == ("layer",) and was.layer == before.key and now.layer == after.key:
                continue  # both stand in the edition
            if not parts:
                continue
            amount = "amount" in parts
            since = _since(before, after, now.since if amount else None)
            told = changed_value_sentence(was, now, parts, since) + _acts(now, after)
            yield _value_change(now, "changed", since, was.written, now.written, parts, told)
        elif now is not None:
            since = _since(before, after, now.since)
            told = one_value_sentence(now, since, ended=False) + _acts(now, after)
            yield _value_change(now, "added", since, "", now.written, (), told)
        elif was is not None:
            since = _since(before, after, None)
            told = one_value_sentence(was, since, ended=True) + _acts(was, before)
            yield _value_change(was, "ended", since, was.written, "", (), told)


def _acts(value: Value, book: Rulebook) -> str:
    """A sentence more for what is kept for reference."""
    return " Nothing acts on it." if value.key in book.reference else ""


def _value_change(
    value: Value,
    how: How,
    since: dt.date | None,
    was: str,
    now: str,
    parts: tuple[str, ...],
    told: str,
) -> Change:
    return Change(
        kind="value",
        key=value.key,
        how=how,
        since=since,
        was=was,
        now=now,
        parts=parts,
        source=str(value.source),
        certainty=value.certainty,
        layer=value.layer,
        sentence=told,
    )


def _changed_parts(was: Value, now: Value) -> tuple[str, ...]:
    """Fields of a value that differ for a reader; the start day alone does not count."""
    parts = ["amount"] if (was.amount, was.unit) != (now.amount, now.unit) else []
    names = ("says", "applies_to", "source", "certainty", "checked", "note")
    parts += [name for name in names if getattr(was, name) != getattr(now, name)]
    if was.layer != now.layer and not parts:
        parts.append("layer")
    return tuple(parts)


def _things(
    kind: Kind,
    before: Rulebook,
    after: Rulebook,
    of: Callable[[Rulebook], Mapping[str, _T]],
    sentence: Callable[[_T | None, _T | None, Rulebook, Rulebook, dt.date | None], str],
) -> Iterator[Change]:
    """Things with an id that were added, changed or ended, in their order."""
    old, new = of(before), of(after)
    for key in dict.fromkeys((*new, *old)):
        was, now = old.get(key), new.get(key)
        if was == now:
            continue
        since = _since(before, after, getattr(now, "since", None))
        how: How = "changed" if was and now else "added" if now else "ended"
        thing = now or was
        assert thing is not None
        source = getattr(thing, "source", "")
        yield Change(
            kind=kind,
            key=key,
            how=how,
            since=since,
            was=getattr(was, "written", ""),
            now=getattr(now, "written", ""),
            parts=_fields(was, now) if was and now else (),
            source=str(source),
            certainty=getattr(thing, "certainty", ""),
            layer=getattr(thing, "layer", ""),
            sentence=sentence(was, now, before, after, since),
        )


def _fields(was: Struct, now: Struct) -> tuple[str, ...]:
    names = now.__struct_fields__
    return tuple(name for name in names if getattr(was, name) != getattr(now, name))


def _order(before: Rulebook, after: Rulebook) -> Iterator[Change]:
    """Common rows whose order changed."""
    common = {row.id for row in before.table} & {row.id for row in after.table}
    was = [row.id for row in before.table if row.id in common]
    now = [row.id for row in after.table if row.id in common]
    if was != now:
        since = _since(before, after, None)
        told = order_sentence(was, now, since)
        yield Change("order", "rows", "changed", since, "", "", ("order",), "", "", "", told)


def _outcomes(book: Rulebook) -> dict[str, Outcome]:
    return {outcome.key: outcome for outcome in book.outcomes}


def _rows(book: Rulebook) -> dict[str, TableRow]:
    return {row.id: row for row in book.table}


def _steps(book: Rulebook) -> dict[str, StepRule]:
    return {step.id: step for step in book.steps}


def _settings(book: Rulebook) -> dict[str, SettingTable]:
    return {table.id: table for table in book.settings}


def _caps(book: Rulebook) -> dict[str, ExportCap]:
    return {cap.id: cap for cap in book.caps}


def _extras(book: Rulebook) -> dict[str, ExtraCondition]:
    return {extra.id: extra for extra in book.conditions}


def _areas(book: Rulebook) -> dict[str, Area]:
    return {area.id: area for area in book.areas}

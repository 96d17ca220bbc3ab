"""Maps rows to the site file and back, from the declared facts.

A column has the name of its fact, except those in `_OTHER_NAMES`. The column decides how it stores
the fact. An unknown text is empty; several lines are one text; the phases of a unit are "L1 L2". A
JSON column holds a list as in the file; any other column is null if nothing is known. Some facts
have two columns (`sites.house.two_columns`).

In the file an empty column is null (not known) or left out, as the fact says; a fact that the file
must have stays as it is. Back from the file, both make an empty column. One exception: left out of
the file, a fact with a default whose empty box means "not known" comes back as that default.

`site_rows` and `importing` say which rows make a file, and which plant is existing or proposed.
"""

from collections.abc import Callable, Mapping
from functools import cache
from operator import attrgetter
from typing import Any, NamedTuple, TypeVar, get_args

from django.db import models
from msgspec import UNSET, Struct

from connections.facts import site as facts
from connections.facts.declaring import Fact, declared, hint_of
from sites.house.two_columns import Pair, entries, pair_of

Plain = dict[str, Any]
Turn = Callable[[Any], Any]
"""Turns a value of a column into one of the file, or back."""
Row = TypeVar("Row", bound=models.Model)

_OTHER_NAMES: dict[tuple[type[Struct], str], str] = {
    (facts.Unit, "id"): "label",
    (facts.Board, "id"): "label",
    (facts.Cable, "from_"): "from_board",
    (facts.Cable, "to"): "to_board",
    (facts.Protection, "place"): "location",
    (facts.Clamp, "id"): "label",
    (facts.Clamp, "place"): "location",
    (facts.Override, "key"): "default",
    (facts.Loads, "measured"): "loads_measured",
    **{(facts.Panel, name): f"panel_{name}" for name in facts.Panel.__struct_fields__},
}
"""Columns with another name than their fact."""


class _Way(NamedTuple):
    """How to read and write one kind of column; `empty` is its value without a fact."""

    to_file: Turn
    to_row: Turn
    empty: object


def _as_it_is(value: Any) -> Any:
    return value


_PLAIN = _Way(_as_it_is, _as_it_is, None)
_NEEDED_TEXT = _Way(_as_it_is, _as_it_is, "")
_TEXT = _Way(lambda text: text or None, _as_it_is, "")
_PHASES = _Way(lambda text: text.split() or None, " ".join, "")
_LINES = _Way(
    lambda text: [line.strip() for line in text.splitlines() if line.strip()], "\n".join, ""
)
_LINES_IF_ANY = _LINES._replace(to_file=lambda text: _LINES.to_file(text) or None)
_LIST = _Way(
    lambda said: said and [entry for entry in said if entry != {}],
    entries,
    None,
)


class Column(NamedTuple):
    """One fact with the column that stores it."""

    name: str
    """Name of the field in the frozen type."""
    written: str
    """Key in the file."""
    column: str
    fact: Fact
    way: _Way
    needed: bool


@cache
def columns_of(part: type[Struct], row: type[models.Model]) -> tuple[Column, ...]:
    """Return the facts of a part of the site file that this kind of row stores."""
    fields = {field.name: field for field in row._meta.concrete_fields}
    written = dict(zip(part.__struct_fields__, part.__struct_encode_fields__, strict=True))
    needed = len(part.__struct_fields__) - len(part.__struct_defaults__)
    found = []
    for place, (name, fact) in enumerate(declared(part).items()):
        column = _OTHER_NAMES.get((part, name), name)
        field = fields.get(column)
        if field is not None and not field.is_relation:
            way = _way(hint_of(part, name), field, fact, needed=place < needed)
            found.append(Column(name, written[name], column, fact, way, place < needed))
    return tuple(found)


def _way(hint: object, field: models.Field[Any, Any], fact: Fact, *, needed: bool) -> _Way:
    if isinstance(field, models.JSONField):
        return _LIST
    if not isinstance(field, models.CharField | models.TextField):
        return _PLAIN
    if tuple[facts.Phase, ...] in _inner(hint):
        return _PHASES
    if isinstance(field, models.TextField):
        return _LINES if fact.empty == "null" else _LINES_IF_ANY
    return _NEEDED_TEXT if needed else _TEXT


def _inner(hint: object) -> list[object]:
    """Return a type and all types inside it."""
    return [hint, *(each for inner in get_args(hint) for each in _inner(inner))]


class _Writer(NamedTuple):
    """What `file_part` needs for a kind of row, prepared once."""

    names: tuple[str, ...]
    values: Callable[[Any], tuple[Any, ...]]
    texts: tuple[str, ...]
    turned: tuple[tuple[str, Turn], ...]
    left_out: tuple[str, ...]
    pairs: tuple[tuple[str, Pair], ...]


@cache
def _writer(part: type[Struct], row: type[models.Model]) -> _Writer:
    columns = columns_of(part, row)
    others = [each for each in columns if each.way not in (_PLAIN, _TEXT, _NEEDED_TEXT)]
    return _Writer(
        tuple(each.written for each in columns),
        # One name more than needed: with a single name attrgetter returns no tuple.
        attrgetter(*(each.column for each in columns), columns[0].column),
        tuple(each.written for each in columns if each.way is _TEXT),
        tuple((each.written, each.way.to_file) for each in others),
        tuple(each.written for each in columns if each.fact.empty == "left-out"),
        tuple((each.written, pair) for each in columns if (pair := pair_of(row, each.column))),
    )


def file_part(part: type[Struct], kind: type[models.Model], row: models.Model) -> Plain:
    """Return what a row says of a part of the site file, as plain data; dates stay dates.

    `row` is of `kind`, or has its columns as attributes.
    """
    names, values, texts, turned, left_out, pairs = _writer(part, kind)
    said: Plain = dict(zip(names, values(row), strict=False))
    for name, pair in pairs:
        said[name] = pair.whole(said[name], getattr(row, pair.second))
    for name in texts:
        if not said[name]:
            said[name] = None
    for name, turn in turned:
        said[name] = turn(said[name])
    for name in left_out:
        if said[name] is None:
            del said[name]
    return said


def row_values(stated: Struct, row: type[models.Model]) -> Mapping[str, Any]:
    """Return what a part of a site file says, by the columns of this kind of row."""
    values: dict[str, Any] = {}
    for each in columns_of(type(stated), row):
        value = getattr(stated, each.name)
        if value is UNSET and each.fact.empty == "null":
            value = each.fact.default
        known = value is not UNSET and value is not None
        values[each.column] = each.way.to_row(value) if known else each.way.empty
        if pair := pair_of(row, each.column):
            values[each.column], values[pair.second] = pair.parted(values[each.column])
    return values


def row_of(kind: type[Row], stated: Struct, **more: Any) -> Row:
    """Return an unsaved row of what a part of a site file says, with the values `more`."""
    return kind(**{**row_values(stated, kind), **more})

"""Make thousands of premises for measuring, as copies of existing ones in bulk."""

import uuid
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from typing import Any, TypeVar

from django.db import connection, models, transaction

from sites.cases.models import Case, KeptDecision, Move
from sites.premises.models import (
    Cap,
    Design,
    Party,
    Premises,
    SearchWord,
    Supply,
    SupplyNumber,
    Unit,
)
from sites.premises.reading.search import words_of
from sites.premises.reading.site_rows import PLANT

SIZES = 40
"""Number of sizes of units of one kind."""
ORIGINALS = 100
"""Premises that are copied, the first ones."""
AT_ONCE = 1000
_KINDS: tuple[type[models.Model], ...] = (Party, SupplyNumber, Cap, Supply, *PLANT.values())

Changed = Callable[[models.Model, int], dict[str, object]]
"""What differs in the copy of a row, by the number of the copy."""
Listed = Callable[[Case, Case, int], tuple[Sequence[Move], KeptDecision]]
"""Moves and kept decision of a copy, not saved: of an original, its copy, and the copy's number."""


def _sizes(row: models.Model, number: int) -> dict[str, object]:
    if isinstance(row, Premises):
        return {"reference": f"{row.reference} ({number})", "on_date": None}
    if isinstance(row, Unit) and row.rated_w:
        return {"rated_w": row.rated_w - number % SIZES}
    return {}


def copy_premises(wanted: int, changed: Changed = _sizes, listed: Listed | None = None) -> None:
    """Copy premises, with all their rows and applications, until there are `wanted` of them.

    Each has one design and one application case. References get a number, and registered capacities
    differ by some watts, so that sites are alike but not the same; `changed` says otherwise.
    With `listed`, lists and the search have them too.
    """
    cases = Case.objects.select_related("application", "premises", "design").order_by("pk")
    there, originals = cases.count(), list(cases[:ORIGINALS])
    beneath = [_Beneath(kind, originals) for kind in _KINDS]
    for start in range(there, wanted, AT_ONCE):
        numbers = range(start, min(start + AT_ONCE, wanted))
        with transaction.atomic():
            _copy_some(
                [(originals[n % len(originals)], n) for n in numbers], beneath, changed, listed
            )


def _copy_some(
    some: Sequence[tuple[Case, int]],
    beneath: "Sequence[_Beneath]",
    changed: Changed,
    listed: Listed | None,
) -> None:
    premises = [copy(case.premises, **changed(case.premises, number)) for case, number in some]
    put(premises)
    designs = [
        copy(case.design, premises=there)
        for (case, _number), there in zip(some, premises, strict=True)
    ]
    put(designs)
    applications = [
        copy(case.application, reference=there.reference)
        for (case, _number), there in zip(some, premises, strict=True)
    ]
    put(applications)
    for rows in beneath:
        rows.write(some, premises, designs, changed)
    cases = [
        copy(case, application=application, premises=there, design=design)
        for (case, _number), application, there, design in zip(
            some, applications, premises, designs, strict=True
        )
    ]
    lists = [
        listed(original, case, number)
        for (original, number), case in zip(some, cases, strict=True)
        if listed is not None
    ]
    put(cases)
    if not lists:
        return
    for case, (moves, kept) in zip(cases, lists, strict=True):
        kept.case = case
        for move in moves:
            move.case = case
    write(Move, (_values(move) for moves, _kept in lists for move in moves))
    write(KeptDecision, (_values(kept) for _moves, kept in lists))
    found = words_of(there.pk for there in premises)
    write(SearchWord, ([word, pk] for pk, words in found.items() for word in words))


class _Beneath:
    """The rows of one kind beneath the originals, as values for the database."""

    def __init__(self, kind: type[models.Model], originals: Iterable[Case]) -> None:
        self.kind = kind
        self.fields = {field.name: (n, field) for n, field in enumerate(_fields(kind))}
        self.rows: dict[int, list[tuple[models.Model, list[object]]]] = {}
        owners = {case.premises_id for case in originals}
        for row in kind._default_manager.filter(premises__in=owners):
            values = (row, _values(row))
            self.rows.setdefault(row.serializable_value("premises"), []).append(values)

    def write(
        self,
        some: Sequence[tuple[Case, int]],
        premises: Sequence[Premises],
        designs: Sequence[Design],
        changed: Changed,
    ) -> None:
        """Write them again beneath the copies."""
        write(self.kind, self._again(some, premises, designs, changed))

    def _again(
        self,
        some: Sequence[tuple[Case, int]],
        premises: Sequence[Premises],
        designs: Sequence[Design],
        changed: Changed,
    ) -> Iterator[list[object]]:
        for (case, number), there, design in zip(some, premises, designs, strict=True):
            for row, values in self.rows.get(case.premises_id, ()):
                again = list(values)
                changes: dict[str, object] = {"key": uuid.uuid4(), "premises": there.pk}
                if getattr(row, "design_id", None) is not None:
                    changes["design"] = design.pk
                for name, value in (changes | changed(row, number)).items():
                    place, field = self.fields[name]
                    again[place] = field.get_db_prep_save(value, connection)
                yield again


def put(rows: Iterable[models.Model]) -> None:
    """Save rows of one kind at once; they get their primary keys."""
    rows = list(rows)
    type(rows[0])._default_manager.bulk_create(rows)


def write(kind: type[models.Model], rows: Iterable[Sequence[object]]) -> None:
    """Write rows, given as values for the database without the primary key, as fast as it takes."""
    quoted = connection.ops.quote_name
    columns = ", ".join(quoted(field.column) for field in _fields(kind))
    table = quoted(kind._meta.db_table)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as into:
                for row in rows:
                    into.write_row(row)
        else:
            marks = ", ".join("%s" for _field in _fields(kind))
            given: Any = rows
            cursor.executemany(f"INSERT INTO {table} ({columns}) VALUES ({marks})", given)


@cache
def _fields(kind: type[models.Model]) -> tuple[Any, ...]:
    return tuple(field for field in kind._meta.concrete_fields if not field.primary_key)


def _values(row: models.Model) -> list[object]:
    return [
        field.get_db_prep_save(getattr(row, field.attname), connection)
        for field in _fields(type(row))
    ]


_Row = TypeVar("_Row", bound=models.Model)


def copy(row: _Row, **changes: object) -> _Row:
    """A new row like another, with a key of its own."""
    values = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    del values["id"]
    if "key" in values:
        values["key"] = uuid.uuid4()
    for name in changes:
        values.pop(f"{name}_id", None)
    return type(row)(**{**values, **changes})

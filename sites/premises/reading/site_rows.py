"""Turns the rows of a premises with one of its designs into a site.

Rows, drafts and files end in the same constructor, `connections.facts.reading.site_of`. Saved rows
and typed drafts first become `SiteRows`, then a plain site file. `mapping` says how each column
becomes a fact; this module says which rows make which part.
"""

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any
from uuid import UUID

from django.db import models
from django.utils import timezone
from msgspec import Struct

from connections.facts import site as facts
from connections.facts.reading import site_of
from connections.facts.site import Site
from sites.premises.models import (
    Array,
    Board,
    Cable,
    Cap,
    Cells,
    Clamp,
    Design,
    Limit,
    Load,
    Override,
    Party,
    Premises,
    Protection,
    Removal,
    Supply,
    SupplyNumber,
    Unit,
)
from sites.premises.reading.mapping import Plain, file_part


@dataclass
class PlantRows:
    """Plant that exists, or plant that a design proposes, in the typed order."""

    units: list[Unit] = field(default_factory=list)
    arrays: list[Array] = field(default_factory=list)
    cells: list[Cells] = field(default_factory=list)
    boards: list[Board] = field(default_factory=list)
    protection: list[Protection] = field(default_factory=list)
    cables: list[Cable] = field(default_factory=list)
    loads: list[Load] = field(default_factory=list)
    clamps: list[Clamp] = field(default_factory=list)
    limits: list[Limit] = field(default_factory=list)


PLANT: dict[str, type[Any]] = {
    "units": Unit,
    "arrays": Array,
    "cells": Cells,
    "boards": Board,
    "protection": Protection,
    "cables": Cable,
    "loads": Load,
    "clamps": Clamp,
    "limits": Limit,
}
"""The lists of PlantRows with the models of their rows."""


@dataclass
class SiteRows:
    """All rows of a premises with one design, saved or made from typed text.

    `removed` holds the keys of existing units that the design removes. `new_supply` is the supply
    as the design changes it.
    """

    premises: Premises
    parties: list[Party] = field(default_factory=list)
    numbers: list[SupplyNumber] = field(default_factory=list)
    caps: list[Cap] = field(default_factory=list)
    overrides: list[Override] = field(default_factory=list)
    supply: Supply | None = None
    new_supply: Supply | None = None
    existing: PlantRows = field(default_factory=PlantRows)
    proposed: PlantRows = field(default_factory=PlantRows)
    removed: set[UUID] = field(default_factory=set)


def site_from(rows: SiteRows) -> Site:
    """Return the site of rows, saved or not. Raises SiteFileError naming the first fault's path."""
    return site_of(plain_from(rows))


def rows_for(premises: Premises, design: Design) -> SiteRows:
    """Return the rows of a premises with one of its designs; 15 queries, however many rows."""
    design.premises = premises
    return rows_of_designs([design])[design.pk]


def rows_of_designs(designs: Iterable[Design], *, facts_alone: bool = False) -> dict[int, SiteRows]:
    """The rows of several designs with their premises, by the design's primary key.

    15 queries, however many designs there are, if their premises are loaded already
    (`select_related("premises")`). With `facts_alone` the rows beneath are named tuples of what
    makes facts: they load in half the time, and can't be saved.
    """
    designs = list(designs)
    found = {design.pk: SiteRows(premises=design.premises) for design in designs}
    of_premises: dict[int, list[tuple[int, SiteRows]]] = {}
    for design in designs:
        of_premises.setdefault(design.premises_id, []).append((design.pk, found[design.pk]))

    def loaded(kind: type[models.Model], *order: str) -> Iterator[tuple[Any, int, SiteRows]]:
        """Every row of a kind, with the design and the rows that it comes under."""
        rows: Any = kind._default_manager.filter(premises__in=of_premises).order_by(*order, "pk")
        if facts_alone:
            rows = rows.values_list(*_facts_of(kind), named=True)
        for row in rows:
            for pk, site_rows in of_premises.get(row.premises_id, ()):
                yield row, pk, site_rows

    for party, _pk, rows in loaded(Party):
        rows.parties.append(party)
    for number, _pk, rows in loaded(SupplyNumber):
        rows.numbers.append(number)
    for cap, _pk, rows in loaded(Cap):
        rows.caps.append(cap)
    for override, _pk, rows in loaded(Override):
        rows.overrides.append(override)
    for supply, pk, rows in loaded(Supply):
        if supply.design_id is None:
            rows.supply = supply
        elif supply.design_id == pk:
            rows.new_supply = supply
    for name, kind in PLANT.items():
        for row, pk, rows in loaded(kind, "place"):
            if row.design_id is None:
                getattr(rows.existing, name).append(row)
            elif row.design_id == pk:
                getattr(rows.proposed, name).append(row)
    for removal in Removal.objects.filter(design__in=found).values_list("design_id", "unit__key"):
        found[removal[0]].removed.add(removal[1])
    return found


@cache
def _facts_of(kind: type[models.Model]) -> tuple[str, ...]:
    """The columns that make facts, and those that say which row it is."""
    left_out = {"id", "place"} if kind is Unit else {"id", "place", "key"}
    return tuple(
        field.attname for field in kind._meta.concrete_fields if field.name not in left_out
    )


def plain_from(rows: SiteRows) -> Plain:
    """Return rows, saved or not, as a plain site file (site/1) whose dates are date objects."""
    premises, existing, proposed = rows.premises, rows.existing, rows.proposed
    gone = {unit.label for unit in existing.units if unit.key in rows.removed}
    plain: Plain = {
        "format": "site/1",
        **file_part(facts.Site, Premises, premises),
        "on_date": premises.on_date or today(),
        "parties": {
            **{party.part: file_part(facts.Party, Party, party) for party in rows.parties},
            **file_part(facts.Parties, Premises, premises),
        },
        "premises": {
            **file_part(facts.Premises, Premises, premises),
            "supply_numbers": _all(facts.SupplyNumber, SupplyNumber, rows.numbers),
        },
        "supply": _supply(rows),
        "units": [
            *(
                _unit(row, "removed" if row.key in rows.removed else "existing")
                for row in existing.units
            ),
            *(_unit(row, "proposed") for row in proposed.units),
        ],
        "arrays": _behind(facts.Array, Array, existing.arrays, proposed.arrays, gone),
        "storage": _behind(facts.Storage, Cells, existing.cells, proposed.cells, gone),
        # A limit that the design sets replaces the existing one.
        "limits": {
            row.on: file_part(facts.Limit, Limit, row)
            for row in (*existing.limits, *proposed.limits)
        },
        "caps": _all(facts.Cap, Cap, rows.caps),
        "protection": _all(
            facts.Protection, Protection, (*existing.protection, *proposed.protection)
        ),
        "cables": _all(facts.Cable, Cable, (*existing.cables, *proposed.cables)),
        "loads": {
            **file_part(facts.Loads, Premises, premises),
            "items": [
                {**file_part(facts.Load, Load, row), "status": status}
                for status, part in (("existing", existing), ("proposed", proposed))
                for row in part.loads
            ],
        },
        "network": file_part(facts.Network, Premises, premises),
    }
    # What the design proposes replaces what exists under that name.
    boards = {row.label.casefold(): row for row in (*existing.boards, *proposed.boards)}
    clamps = {row.label.casefold(): row for row in (*existing.clamps, *proposed.clamps)}
    if boards:
        plain["boards"] = _all(facts.Board, Board, boards.values())
    if clamps:
        plain["clamps"] = _all(facts.Clamp, Clamp, clamps.values())
    if rows.overrides:
        plain["overrides"] = _all(facts.Override, Override, rows.overrides)
    if premises.nearby_asked:
        plain["nearby"] = {"premises": premises.nearby_premises, "origin": "typed"}
    return plain


def today() -> dt.date:
    """Return today's date in the firm's time zone."""
    return timezone.localdate()


def _all(part: type[Struct], kind: type[models.Model], rows: Iterable[Any]) -> list[Plain]:
    return [file_part(part, kind, row) for row in rows]


def _unit(row: Unit, status: str) -> Plain:
    return {**file_part(facts.Unit, Unit, row), "status": status}


def _behind(
    part: type[Struct],
    kind: type[models.Model],
    existing: Iterable[Any],
    proposed: Iterable[Any],
    gone: set[str],
) -> list[Plain]:
    """Return panels or cells with their status; a unit that goes takes its existing ones along."""
    standing = [
        *((row, "removed" if row.unit_id in gone else "existing") for row in existing),
        *((row, "proposed") for row in proposed),
    ]
    return [
        {**file_part(part, kind, row), **_panel(kind, row), "status": status}
        for row, status in standing
    ]


def _panel(kind: type[models.Model], row: Any) -> Plain:
    """Return the data of one panel, if any is known."""
    said = file_part(facts.Panel, Array, row) if kind is Array else {}
    return {"panel": said} if said else {}


def _supply(rows: SiteRows) -> Plain:
    """Return the supply with the design, and its present phases if the design changes them."""
    supply = rows.new_supply or rows.supply
    if supply is None:
        return {}
    said = file_part(facts.Supply, Supply, supply)
    now = rows.supply.phases if rows.supply is not None else None
    then = rows.new_supply.phases if rows.new_supply is not None else None
    return {**said, "now_phases": now} if now and then and now != then else said

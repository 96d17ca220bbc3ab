"""Rows turned into facts: a premises with one of its designs as a site.

Rows and drafts end in the same constructor, `site_from`: both are first `SiteRows` (loaded, or made
of what was typed and not saved) and then a plain site file. A box that was left empty is left out
where the site file has a default, and null (not known) where it has none. Facts that only the
electrical checks read are left out too, which to them is the same as not known.
"""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

import msgspec
from django.utils import timezone

from connections.facts.reading import read_site
from connections.facts.site import Site
from sites.premises.models import (
    Array,
    Board,
    Cable,
    Cap,
    Cells,
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

Plain = dict[str, Any]


@dataclass
class PlantRows:
    """Plant of one standing: what is there, or what a design proposes. In the typed order."""

    units: list[Unit] = field(default_factory=list)
    arrays: list[Array] = field(default_factory=list)
    cells: list[Cells] = field(default_factory=list)
    boards: list[Board] = field(default_factory=list)
    protection: list[Protection] = field(default_factory=list)
    cables: list[Cable] = field(default_factory=list)
    loads: list[Load] = field(default_factory=list)
    limits: list[Limit] = field(default_factory=list)


PLANT: dict[str, type[Any]] = {
    "units": Unit,
    "arrays": Array,
    "cells": Cells,
    "boards": Board,
    "protection": Protection,
    "cables": Cable,
    "loads": Load,
    "limits": Limit,
}
"""The lists of PlantRows and the rows that they hold."""


@dataclass
class SiteRows:
    """Every row of a premises with one design; saved ones, or ones made of what was typed.

    `removed` holds the keys of existing units that go with the design. `new_supply` is the supply
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


def site_from(plain: Plain) -> Site:
    """The facts of a plain site file. Raises SiteFileError with the path of the first fault."""
    return read_site(msgspec.json.encode(plain))


def rows_for(premises: Premises, design: Design) -> SiteRows:
    """Every row of a premises with one of its designs; 14 queries, however many rows there are."""
    design.premises = premises
    return rows_of_designs([design])[design.pk]


def rows_of_designs(designs: Iterable[Design]) -> dict[int, SiteRows]:
    """The rows of several designs with their premises, by the design's primary key.

    14 queries, however many designs there are, if their premises are loaded already
    (`select_related("premises")`).
    """
    designs = list(designs)
    found = {design.pk: SiteRows(premises=design.premises) for design in designs}
    of_premises: dict[int, list[tuple[int, SiteRows]]] = {}
    for design in designs:
        of_premises.setdefault(design.premises_id, []).append((design.pk, found[design.pk]))

    def owners(row: Any) -> Iterable[tuple[int, SiteRows]]:
        return of_premises.get(row.premises_id, ())

    for party in Party.objects.filter(premises__in=of_premises).order_by("pk"):
        for _pk, rows in owners(party):
            rows.parties.append(party)
    for number in SupplyNumber.objects.filter(premises__in=of_premises):
        for _pk, rows in owners(number):
            rows.numbers.append(number)
    for cap in Cap.objects.filter(premises__in=of_premises):
        for _pk, rows in owners(cap):
            rows.caps.append(cap)
    for override in Override.objects.filter(premises__in=of_premises):
        for _pk, rows in owners(override):
            rows.overrides.append(override)
    for supply in Supply.objects.filter(premises__in=of_premises):
        for pk, rows in owners(supply):
            if supply.design_id is None:
                rows.supply = supply
            elif supply.design_id == pk:
                rows.new_supply = supply
    for name, kind in PLANT.items():
        for row in kind.objects.filter(premises__in=of_premises).order_by("place", "pk"):
            for pk, rows in owners(row):
                if row.design_id is None:
                    getattr(rows.existing, name).append(row)
                elif row.design_id == pk:
                    getattr(rows.proposed, name).append(row)
    for removal in Removal.objects.filter(design__in=found).values_list("design_id", "unit__key"):
        found[removal[0]].removed.add(removal[1])
    return found


def plain_from(rows: SiteRows) -> Plain:
    """The rows, saved or not, as a plain site file (site/1)."""
    premises = rows.premises
    gone = {unit.label for unit in rows.existing.units if unit.key in rows.removed}
    plain: Plain = {
        "format": "site/1",
        "reference": premises.reference,
        "on_date": (premises.on_date or today()).isoformat(),
        "parties": _parties(rows),
        "premises": _premises(rows),
        "supply": {**_supply(rows.new_supply or rows.supply), **_supply_now(rows)},
        "units": [
            *(
                _unit(unit, "removed" if unit.key in rows.removed else "existing")
                for unit in rows.existing.units
            ),
            *(_unit(unit, "proposed") for unit in rows.proposed.units),
        ],
        "arrays": [
            *(_array(row, _of_part(row.unit_id, gone)) for row in rows.existing.arrays),
            *(_array(row, "proposed") for row in rows.proposed.arrays),
        ],
        "storage": [
            *(_cells(row, _of_part(row.unit_id, gone)) for row in rows.existing.cells),
            *(_cells(row, "proposed") for row in rows.proposed.cells),
        ],
        # A limit that the design sets takes the place of the existing one.
        "limits": {row.on: _limit(row) for row in (*rows.existing.limits, *rows.proposed.limits)},
        "caps": [
            _some(
                on=cap.on,
                value=cap.value,
                basis=cap.basis,
                from_operator_reference=cap.from_operator_reference or None,
                until=_day(cap.until),
                split_equally=cap.split_equally,
            )
            for cap in rows.caps
        ],
        "protection": [
            _protection(row) for row in (*rows.existing.protection, *rows.proposed.protection)
        ],
        "cables": [_cable(row) for row in (*rows.existing.cables, *rows.proposed.cables)],
        "loads": {
            "assessed_demand_va": premises.assessed_demand_va,
            "measured": premises.loads_measured,
            "items": [_load(row) for row in (*rows.existing.loads, *rows.proposed.loads)],
        },
        "network": {"assumed_voltage_mv": premises.assumed_voltage_mv},
    }
    # A board that the design proposes takes the place of the existing one of that name.
    boards = {
        row.label.casefold(): _board(row) for row in (*rows.existing.boards, *rows.proposed.boards)
    }
    if boards:
        plain["boards"] = list(boards.values())
    if rows.overrides:
        plain["overrides"] = [
            {"key": row.default, "value": row.value, "reason": row.reason, **_filled(unit=row.unit)}
            for row in rows.overrides
        ]
    if premises.planned_on:
        plain["planned_on"] = premises.planned_on.isoformat()
    if premises.nearby_asked:
        plain["nearby"] = {"premises": premises.nearby_premises, "origin": "typed"}
    return plain


def today() -> dt.date:
    """Today's date where the firm is."""
    return timezone.localdate()


def _some(**values: Any) -> Plain:
    return values


def _filled(**values: Any) -> Plain:
    """Only what is filled in: for fields whose default the site file names."""
    return {name: value for name, value in values.items() if value not in (None, "")}


def _day(value: dt.date | None) -> str | None:
    return value.isoformat() if value else None


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _of_part(unit_id: str, gone: set[str]) -> str:
    """Panels and cells go with the inverter that they sit behind."""
    return "removed" if unit_id in gone else "existing"


def _parties(rows: SiteRows) -> Plain:
    found: Plain = {
        party.part: {
            "name": party.name or None,
            "role": party.role or None,
            "address_lines": _lines(party.address_lines),
            "email": party.email or None,
            "phone": party.phone or None,
            "registration": party.registration or None,
        }
        for party in rows.parties
    }
    return {**found, "owner_consent": rows.premises.owner_consent}


def _premises(rows: SiteRows) -> Plain:
    premises = rows.premises
    return _some(
        name=premises.name or None,
        address_lines=_lines(premises.address_lines),
        postcode=premises.postcode or None,
        nation=premises.nation or None,
        licence_area=premises.licence_area or None,
        easting=premises.easting,
        northing=premises.northing,
        grid=premises.grid or None,
        metering=premises.metering or None,
        feeder=premises.feeder or None,
        supply_numbers=[
            _some(use=number.use, scheme=number.scheme, value=number.value)
            for number in rows.numbers
        ],
    )


def _supply(row: Supply | None) -> Plain:
    if row is None:
        return {}
    return {
        **_filled(phases=row.phases, nominal_v=row.nominal_v, voltage_level=row.voltage_level),
        **_some(
            cutout_a=row.cutout_a,
            earthing=row.earthing or None,
            looped=row.looped,
            import_capacity_va=row.import_capacity_va,
            export_capacity_va=row.export_capacity_va,
            loop_impedance_uohm=row.loop_impedance_uohm,
            prospective_fault_a=row.prospective_fault_a,
            voltage_optimiser=row.voltage_optimiser,
        ),
    }


def _supply_now(rows: SiteRows) -> Plain:
    """How many phases the supply has now, where the design changes that."""
    now = rows.supply.phases if rows.supply is not None else None
    then = rows.new_supply.phases if rows.new_supply is not None else None
    return {"now_phases": now} if now and then and now != then else {}


def _unit(row: Unit, status: str) -> Plain:
    return {
        "id": row.label,
        "source": row.source,
        "rated_w": row.rated_w,
        "phases": row.phases.split(),
        "status": status,
        **_filled(
            kind=row.kind,
            quantity=row.quantity,
            design_w=row.design_w,
            limited_by=row.limited_by,
            operating_mode=row.operating_mode,
            commissioned_on=_day(row.commissioned_on) if status != "proposed" else None,
            emission_standards=row.emission_standards,
            max_impedance_uohm=row.max_impedance_uohm,
            dc_input_w=row.dc_input_w,
        ),
        **_some(
            maker=row.maker or None,
            model=row.model or None,
            rated_va=row.rated_va,
            rated_ma=row.rated_ma,
            q_var=row.q_var,
            type_tested=row.type_tested or None,
            standard=row.standard or None,
            type_test_reference=row.type_test_reference or None,
            planned_on=_day(row.planned_on),
            can_island=row.can_island,
            serials=_lines(row.serials),
            feeds_from=row.feeds_from or None,
        ),
    }


def _array(row: Array, status: str) -> Plain:
    return _some(
        unit_id=row.unit_id,
        status=status,
        peak_w=row.peak_w,
        panels=row.panels,
        strings=row.strings,
        tilt_deg=row.tilt_deg,
        azimuth_deg=row.azimuth_deg,
    )


def _cells(row: Cells, status: str) -> Plain:
    return _some(
        unit_id=row.unit_id,
        status=status,
        usable_wh=row.usable_wh,
        charge_w=row.charge_w,
        discharge_w=row.discharge_w,
        charges_from_grid=row.charges_from_grid,
        exports=row.exports,
    )


def _limit(row: Limit) -> Plain:
    return _some(
        value=row.value,
        basis=row.basis,
        type_tested=row.type_tested,
        type_test_reference=row.type_test_reference or None,
        response_ms=row.response_ms,
        fail_safe=row.fail_safe,
        measured_at=row.measured_at or None,
        ct_position=row.ct_position or None,
        nets_phases=row.nets_phases,
        commissioned_on=_day(row.commissioned_on),
    )


def _board(row: Board) -> Plain:
    return {"id": row.label, **_filled(rating_a=row.rating_a, incoming_a=row.incoming_a)}


def _protection(row: Protection) -> Plain:
    return {
        **_some(
            kind=row.kind,
            serves=row.serves or None,
            rating_a=row.rating_a,
            rcd_type=row.rcd_type or None,
            direction=row.direction or None,
            settings=row.settings,
            reference=row.reference or None,
        ),
        **_filled(trip_ma=row.trip_ma, breaking_a=row.breaking_a),
    }


def _cable(row: Cable) -> Plain:
    return {
        "from": row.from_board,
        "to": row.to_board,
        "unit_id": row.unit_id or None,
        "length_mm": row.length_mm,
        "csa_mm2": row.csa_mm2 or None,
        "material": row.material or None,
        "insulation": row.insulation or None,
        "cores": row.cores,
        "method": row.method or None,
        **_filled(ambient_c=row.ambient_c, grouped=row.grouped, capacity_a=row.capacity_a),
    }


def _load(row: Load) -> Plain:
    return {
        **_some(
            name=row.name,
            w=row.w,
            phases=row.phases.split() or None,
            controllable=row.controllable,
        ),
        **_filled(kind=row.kind),
    }

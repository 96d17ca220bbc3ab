"""Turns a site file into rows, so that a premises can begin from it."""

from typing import Any

from msgspec import UNSET, Struct, UnsetType

from connections.facts import site as facts
from connections.facts.declaring import declared
from connections.facts.defaults import known, phases_now, status_of
from connections.facts.site import Site
from sites.cases.models import Case
from sites.people.models import Person
from sites.premises.models import (
    OVERRIDABLE,
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
    Supply,
    SupplyNumber,
    Unit,
)
from sites.premises.reading.mapping import row_of, row_values
from sites.premises.reading.site_rows import SiteRows, rows_for, site_from
from sites.premises.writing.sheet import create_premises

PARTS = ("customer", "applicant", "installer")


def import_premises(site: Site, *, by: Person | None) -> Case:
    """Create the premises, application and proposed design of a site file.

    Raises ReferenceTakenError if a premises or application has the reference already.
    """
    return create_premises(rows=rows_from_site(site), by=by)


def rows_from_site(site: Site) -> SiteRows:
    """Return the unsaved rows of a site file."""
    now = phases_now(site)
    rows = SiteRows(premises=_premises(site), supply=row_of(Supply, site.supply))
    if rows.supply is not None and now is not None:
        rows.supply.phases = now
    if now is not None:
        # A site file gives the other facts of the supply once; they count for both supplies.
        rows.new_supply = row_of(Supply, site.supply)
    if isinstance(site.parties, Struct):
        for part in PARTS:
            party = getattr(site.parties, part)
            if isinstance(party, facts.Party):
                rows.parties.append(row_of(Party, party, part=part))
    if isinstance(site.premises, facts.Premises):
        rows.numbers = [row_of(SupplyNumber, number) for number in site.premises.supply_numbers]
    rows.caps = [row_of(Cap, cap) for cap in site.caps]
    rows.overrides = [_override(override) for override in known(site.overrides) or ()]
    _add_plant(site, rows)
    return rows


def not_kept(site: Site, design: Design) -> list[str]:
    """Return the site-file paths whose facts no row holds, or holds otherwise.

    An unknown fact (null) equals one left out, unless the site file has a default.
    """
    again = site_from(rows_for(design.premises, design))
    found: list[str] = []
    _compare(site, again, "", found)
    return found


_DEFAULTED = {
    name: fact.default
    for kind in (facts.Unit, facts.Supply)
    for name, fact in declared(kind).items()
    if fact.assumed
}
"""Fields in which "left out" differs from "unknown", with the default that the first means."""


def _compare(old: Any, new: Any, path: str, found: list[str]) -> None:
    """Add the paths at which two parts of a site file differ."""
    if isinstance(old, Struct) and isinstance(new, Struct):
        for name in old.__struct_fields__:
            before, after = getattr(old, name), getattr(new, name)
            if name == "status":
                # If left out, it is the unit's status or proposed; rows always state it.
                before = after if known(before) is None else before
            elif name == "unit" and isinstance(old, facts.Override):
                # If left out, it is the default's unit; rows always state it.
                before = after if known(before) is None else before
            elif name in _DEFAULTED:
                before = _DEFAULTED[name] if before is UNSET else before
                after = _DEFAULTED[name] if after is UNSET else after
            else:
                before, after = known(before), known(after)
            _compare(before, after, f"{path}.{name}" if path else name, found)
    elif isinstance(old, tuple) and isinstance(new, tuple) and len(old) == len(new):
        _compare_lists(old, new, path, found)
    elif old != new and not (_says_nothing(old) and _says_nothing(new)):
        found.append(path)


def _compare_lists(old: tuple[Any, ...], new: tuple[Any, ...], path: str, found: list[str]) -> None:
    """Compare each entry with the most similar one: rows come out with existing plant first."""
    left = list(new)
    for i, before in enumerate(old):
        faults: list[list[str]] = []
        for after in left:
            differing: list[str] = []
            _compare(before, after, f"{path}[{i}]", differing)
            faults.append(differing)
        nearest = min(range(len(left)), key=lambda place: len(faults[place]))
        found += faults[nearest]
        del left[nearest]


def _says_nothing(value: Any) -> bool:
    """Whether a part of a site file holds no fact."""
    if value is None or value == () or value == "":
        return True
    return isinstance(value, Struct) and all(
        _says_nothing(known(getattr(value, name))) for name in value.__struct_fields__
    )


def _premises(site: Site) -> Premises:
    parts: tuple[tuple[Any, type[Struct]], ...] = (
        (site, Site),
        (site.parties, facts.Parties),
        (site.premises, facts.Premises),
        (site.loads, facts.Loads),
        (site.network, facts.Network),
    )
    values: dict[str, Any] = {}
    for stated, part in parts:
        if isinstance(stated, part):
            values |= row_values(stated, Premises)
    if isinstance(site.nearby, facts.Nearby):
        values["nearby_asked"] = site.nearby.premises is not UNSET
        values["nearby_premises"] = known(site.nearby.premises)
    return Premises(**values)


def _override(override: facts.Override) -> Override:
    row = row_of(Override, override)
    default = OVERRIDABLE.get(override.key)
    row.unit = row.unit or (default.unit if default else "")
    return row


def _add_plant(site: Site, rows: SiteRows) -> None:
    standing: dict[str, str] = {}
    for unit in site.units:
        row = row_of(Unit, unit)
        status = standing[unit.id] = status_of(unit)
        (rows.proposed if status == "proposed" else rows.existing).units.append(row)
        if status == "removed":
            rows.removed.add(row.key)

    def of(unit_id: str | None | UnsetType, own: str | None | UnsetType = None) -> Any:
        """Return existing or proposed plant, by a part's own status or that of its unit."""
        status = own if isinstance(own, str) else standing.get(str(unit_id), "proposed")
        return rows.proposed if status == "proposed" else rows.existing

    for array in site.arrays:
        panel = known(array.panel)
        of(array.unit_id, array.status).arrays.append(
            row_of(Array, array, **(row_values(panel, Array) if panel else {}))
        )
    for cells in site.storage:
        of(cells.unit_id, cells.status).cells.append(row_of(Cells, cells))
    for device in site.protection:
        of(device.serves).protection.append(row_of(Protection, device))
    for cable in site.cables:
        of(cable.unit_id).cables.append(row_of(Cable, cable))
    rows.existing.boards = [row_of(Board, board) for board in known(site.boards) or ()]
    if isinstance(site.loads, facts.Loads):
        for load in site.loads.items:
            part = rows.existing if load.status == "existing" else rows.proposed
            part.loads.append(row_of(Load, load))
    if isinstance(site.limits, facts.Limits):
        for on, limit in (("export", site.limits.export), ("import", site.limits.import_)):
            if isinstance(limit, facts.Limit):
                stated = row_of(Limit, limit, on=on)
                standing[f"{on}-limit"] = "existing" if stated.commissioned_on else "proposed"
                of(f"{on}-limit").limits.append(stated)
    for clamp in known(site.clamps) or ():
        of(clamp.serves).clamps.append(row_of(Clamp, clamp))

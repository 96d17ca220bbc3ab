"""Makes a design from another by changed facts, as for a remedy.

Existing plant belongs to the premises, so no design can change it. If existing panels or cells move
behind a new inverter, the design removes them with their old inverter and proposes them again.
"""

from django.db import transaction

from connections.facts.defaults import status_of
from connections.facts.site import Site
from sites.designs.writing.designs import copy_design
from sites.house.writing.rows import changed_fields, fields_of
from sites.people.models import Person
from sites.premises.models import Design, Limit, Premises, Supply
from sites.premises.reading.site_rows import PlantRows, SiteRows, rows_for
from sites.premises.writing.importing import rows_from_site
from sites.premises.writing.sheet import Seen, save_sheet


@transaction.atomic
def altered_copy(*, design: Design, name: str, site: Site, by: Person | None) -> Design:
    """Create a second design of the premises, equipped as `site` says.

    `site` is the design's own site with some facts changed. Raises NameTakenError.
    """
    twin = copy_design(design=design, name=name, by=by)
    premises = Premises.objects.get(pk=twin.premises_id)  # the copy raised its version
    rows = rows_for(premises, twin)
    wanted = rows_from_site(site)
    rows.proposed = _proposed(wanted, rows)
    gone = {unit.id for unit in site.units if status_of(unit) == "removed"}
    rows.removed = {unit.key for unit in rows.existing.units if unit.label in gone}
    rows.new_supply = _supply(wanted.new_supply or wanted.supply, rows)
    seen = Seen(premises.version, twin.version)
    save_sheet(design=twin, rows=rows, seen=seen, by=by)
    twin.refresh_from_db()
    return twin


def _proposed(wanted: SiteRows, rows: SiteRows) -> PlantRows:
    """Return the proposed plant: new units with their parts, and the design's other plant."""
    made = PlantRows(units=wanted.proposed.units)
    proposed = {unit.label for unit in made.units}
    every_array = [*wanted.existing.arrays, *wanted.proposed.arrays]
    every_cells = [*wanted.existing.cells, *wanted.proposed.cells]
    made.arrays = [row for row in every_array if row.unit_id in proposed] + [
        row for row in wanted.proposed.arrays if row.unit_id not in proposed
    ]
    made.cells = [row for row in every_cells if row.unit_id in proposed] + [
        row for row in wanted.proposed.cells if row.unit_id not in proposed
    ]
    labels = proposed | {unit.label for unit in rows.existing.units}
    made.protection = [
        row for row in rows.proposed.protection if not row.serves or row.serves in labels
    ]
    made.cables = [row for row in rows.proposed.cables if not row.unit_id or row.unit_id in labels]
    made.boards = rows.proposed.boards
    made.loads = rows.proposed.loads
    # A clamp may serve a limit, whose name is that of no unit.
    gone = {unit.label for unit in rows.proposed.units} - labels
    made.clamps = [row for row in rows.proposed.clamps if row.serves not in gone]
    there = {row.on for row in rows.existing.limits}
    made.limits = [
        row
        for row in (*wanted.existing.limits, *wanted.proposed.limits)
        if row.on not in there or not _is_same_limit(row, rows)
    ]
    return made


def _is_same_limit(row: Limit, rows: SiteRows) -> bool:
    """Whether an existing scheme holds this limit already."""
    names = fields_of(Limit)
    return any(
        not changed_fields(there, row, [n for n in names if n != "place"])
        for there in rows.existing.limits
        if there.on == row.on
    )


def _supply(wanted: Supply | None, rows: SiteRows) -> Supply | None:
    """Return the supply as the design changes it, or None if it stays as it is."""
    now = rows.new_supply or rows.supply
    if wanted is None or now is None:
        return rows.new_supply
    if not changed_fields(now, wanted, fields_of(Supply)):
        return rows.new_supply
    return wanted

"""Makes a design from another by an export limit of its sweep."""

from django.db import transaction
from msgspec import UNSET, UnsetType
from msgspec.structs import replace

from connections.energy.energy_errors import EnergyError
from connections.energy.from_site import plant_of
from connections.facts.defaults import known
from connections.facts.site import Limit, Limits, Site
from connections.facts.site_file_error import SiteFileError
from sites.deciding.reading.deciding import decide_rows
from sites.designs.writing.altering import altered_copy
from sites.house.refusals import RefusedError
from sites.house.writing.events import record
from sites.people.models import Person
from sites.premises.models import Design
from sites.premises.reading.site_rows import SiteRows, rows_for, site_from


@transaction.atomic
def design_with_limit(*, design: Design, limit_w: int, name: str, by: Person) -> Design:
    """Copy a design and hold its whole export under a limit [W].

    Keeps the other facts of an existing scheme; a new one has only its limit. Raises RefusedError
    if the year of the copy would differ from that of the limit tried. Raises NameTakenError if
    another design has the name.
    """
    premises = type(design.premises).objects.select_for_update().get(pk=design.premises_id)
    site = _site(rows_for(premises, design))
    changed = replace(site, limits=_limited(site, limit_w))
    made = altered_copy(design=design, name=name, site=changed, by=by)
    if _export_limit_w(_site(rows_for(made.premises, made))) != limit_w:
        raise RefusedError(
            "On this supply a limit in kW is not the limit that was tried, since its scheme counts "
            "each phase for itself. Copy the design, and give the limit on its sheet."
        )
    record(
        "design.limited",
        by=by,
        subject=made.premises,
        data={"from": str(design.key), "to": str(made.key), "limit_w": limit_w},
    )
    return made


def _limited(site: Site, limit_w: int) -> Limits:
    limits = known(site.limits) or Limits()
    there: Limit | UnsetType | None = limits.export
    if not isinstance(there, Limit):
        return replace(limits, export=Limit(value=limit_w, basis="w_total"))
    # A new setting of a scheme still has to be proved.
    anew = replace(there, value=limit_w, basis="w_total", commissioned_on=UNSET)
    return replace(limits, export=anew)


def _site(rows: SiteRows) -> Site:
    try:
        return site_from(rows)
    except SiteFileError:
        # Give the reason in the words of the sheet.
        raise RefusedError(decide_rows(rows).fault) from None


def _export_limit_w(site: Site) -> float | None:
    try:
        plant = plant_of(site).plant
    except EnergyError:
        return None
    return None if plant is None else plant.export_limit_w

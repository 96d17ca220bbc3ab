"""Finds the box of a fact on the survey sheet, by its path in the site file."""

import re

from sites.catalogue.boxes import CERTIFICATE_BOXES
from sites.premises.forms.sheet import GROUPS, SINGLES
from sites.premises.reading.site_rows import SiteRows

_IN_LIST = re.compile(
    r"(units|arrays|storage|protection|cables|loads\.items)\[(\d+)\]\.(\w+)(?:\[(\d+)\]\.(\w+))?"
)
_GROUP = {"storage": "cells", "loads.items": "loads"}
_LISTS = {
    "premises.supply_numbers": "rows-numbers",
    "units": "rows-proposed-units",
    "storage": "rows-proposed-cells",
}
_OTHER_BOX = {"nearby.premises": "nearby-nearby"}


def box_at(path: str, rows: SiteRows) -> str:
    """Return the id of the box that a fact is typed in, or of its rows; empty if it has none."""
    if found := _IN_LIST.fullmatch(path):
        name = found[3]
        if name == "standards":
            first = not int(found[4] or 0)
            name = CERTIFICATE_BOXES[found[5] or "standard"] if first else "further_certificates"
        return _in_list(_GROUP.get(found[1], found[1]), int(found[2]), name, rows)
    if path in _LISTS:
        return _LISTS[path]
    if path in _OTHER_BOX:
        return f"id_{_OTHER_BOX[path]}"
    *parts, name = path.split(".")
    form = _form(parts, rows)
    if form in SINGLES and name in SINGLES[form].base_fields:
        return f"id_{form}-{name}"
    # A fact of another part has its box among those of the premises, such as the owner's consent.
    return f"id_premises-{name}" if name in SINGLES["premises"].base_fields else ""


def _form(parts: list[str], rows: SiteRows) -> str:
    """Return the form of a part of the site file that is there once."""
    if not parts:
        return "case"
    if parts[0] == "limits" and len(parts) == 2:
        own = any(limit.on == parts[1] for limit in rows.proposed.limits)
        kept = any(limit.on == parts[1] for limit in rows.existing.limits)
        return f"{'existing' if kept and not own else 'proposed'}-{parts[1]}"
    if parts[0] == "supply" and rows.new_supply is not None:
        return "changed"
    return parts[-1]


def _in_list(group: str, index: int, name: str, rows: SiteRows) -> str:
    there = len(getattr(rows.existing, group))
    part, index = ("existing", index) if index < there else ("proposed", index - there)
    if name not in GROUPS[f"{part}-{group}"].base_fields:
        return f"rows-{part}-{group}"
    return f"id_{part}-{group}-{index}-{name}"

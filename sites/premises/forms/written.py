"""Writes saved rows as the raw text of a sheet."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any
from uuid import UUID

from sites.house.boxes.fields import Box
from sites.house.boxes.sheet_form import SheetForm
from sites.house.two_columns import fact_in
from sites.people.models import Firm
from sites.premises.forms.plant import LimitForm, OverrideForm, written_amount, written_figure
from sites.premises.forms.sheet import GROUPS, PARTS, SINGLES, Raw
from sites.premises.models import Limit, Party, Premises, Supply
from sites.premises.reading.site_rows import PLANT, SiteRows


def raw_of(rows: SiteRows) -> Raw:
    """Return the sheet of saved rows, as it opens."""
    raw: Raw = {}
    parties = {party.part: party for party in rows.parties}
    limits = {
        f"{part}-{limit.on}": limit
        for part, plant in (("existing", rows.existing), ("proposed", rows.proposed))
        for limit in plant.limits
    }
    for name in SINGLES:
        if name in ("case", "premises"):
            _write(raw, name, rows.premises)
        elif name in ("customer", "applicant", "installer"):
            _write(raw, name, parties.get(name) or Party())
        elif name == "supply":
            _write(raw, name, rows.supply or Supply())
        elif name == "changed":
            _write(raw, name, rows.new_supply or Supply())
        elif name != "nearby":
            _write(raw, name, limits.get(name) or Limit(basis="ma_per_phase"))
    if rows.new_supply is not None:
        raw["changed-changes"] = ["on"]
    _write_nearby(raw, rows.premises)
    _write_rows(raw, "numbers", rows.numbers)
    _write_rows(raw, "caps", rows.caps)
    _write_rows(raw, "overrides", rows.overrides)
    for part, plant in zip(PARTS, (rows.existing, rows.proposed), strict=True):
        for group in GROUPS:
            if group.startswith(f"{part}-"):
                _write_rows(raw, group, getattr(plant, group.removeprefix(f"{part}-")))
    for i, unit in enumerate(rows.existing.units):
        if unit.key in rows.removed:
            raw[f"existing-units-{i}-goes"] = ["on"]
    return raw


def raw_of_new(firm: Firm | None) -> Raw:
    """Return the sheet of a new premises: the firm as installer, and two empty rows."""
    rows = SiteRows(premises=Premises(), parties=_firm_as_party(firm))
    return {**raw_of(rows), "numbers-TOTAL_FORMS": ["1"], "proposed-units-TOTAL_FORMS": ["1"]}


def _firm_as_party(firm: Firm | None) -> list[Party]:
    """The firm as the installer of a premises; empty without its details."""
    if firm is None:
        return []
    return [
        Party(
            part="installer",
            name=firm.name,
            address_lines=firm.address,
            email=firm.email,
            phone=firm.phone,
            registration=firm.registration,
        )
    ]


_KEPT_OF_PREMISES = frozenset({"nation", "licence_area", "island"})
_OF_ONE_SITE = frozenset(
    {
        "loop_impedance_uohm",
        "loop_measured",
        "line_neutral_uohm",
        "prospective_fault_a",
        "fault_measured",
        "export_capacity_va",
        "import_capacity_va",
    }
)
"""Facts of a supply that were measured or agreed for it alone."""
_OF_ONE_UNIT = frozenset({"serials", "commissioned_on", "planned_on", "settings", "key", "was"})
"""Facts of plant that stand for one physical unit, or for one day."""


def raw_like(rows: SiteRows, firm: Firm | None) -> Raw:
    """Return the sheet of a new premises with supply and plant of another one.

    Leaves out what belongs to the other one alone: reference, days, customer, address, supply
    numbers, answers of the operator, engineer's figures, readings, serial numbers. The applicant
    comes along only if it is the firm.
    """
    raw = {
        name: texts
        for name, texts in raw_of(replace(rows, numbers=[], caps=[], overrides=[])).items()
        if not _belongs_there(name)
    }
    parties = {party.part: party.name for party in rows.parties}
    own = {party.name for party in _firm_as_party(firm)} | {parties.get("installer")}
    if parties.get("applicant") not in own:
        raw = {name: texts for name, texts in raw.items() if not name.startswith("applicant-")}
    return {**raw, "numbers-TOTAL_FORMS": ["1"]}


def _belongs_there(name: str) -> bool:
    """Whether a box of the sheet belongs to one premises alone."""
    part, _, fact = name.removesuffix("-meant").partition("-")
    fact = fact.rpartition("-")[2]
    if part in ("case", "customer", "nearby"):
        return True
    if part == "premises":
        return fact not in _KEPT_OF_PREMISES
    if part in ("supply", "changed"):
        return fact in _OF_ONE_SITE
    return fact in _OF_ONE_UNIT


def _write(raw: Raw, prefix: str, row: Any, kind: type[SheetForm] | None = None) -> None:
    """Write the boxes of one form from one row; skips boxes that the row does not have."""
    form = kind or SINGLES[prefix]
    limited = issubclass(form, LimitForm) or prefix.startswith("caps-")
    for name, box in form.base_fields.items():
        if not isinstance(box, Box) or not hasattr(row, name) or name == "key":
            continue
        value = fact_in(row, name)
        if limited and name == "value":
            texts, answer = [written_amount(value, row.basis)], ""
        elif form is OverrideForm and name == "value":
            texts, answer = [written_figure(value, row.default)], ""
        else:
            texts, answer = box.texts(value), box.answer(value)
        raw[f"{prefix}-{name}"] = texts
        if answer:
            raw[f"{prefix}-{name}-meant"] = [answer]
    for name, answer in form.answers(row).items():
        raw[f"{prefix}-{name}-meant"] = [answer]


def _write_nearby(raw: Raw, premises: Premises) -> None:
    number = premises.nearby_premises
    said = ""
    if premises.nearby_asked:
        said = "unknown" if number is None else "some" if number else "none"
    raw["nearby-nearby"] = [said]
    raw["nearby-nearby_premises"] = [str(number) if said == "some" else ""]


def _write_rows(raw: Raw, group: str, rows: Iterable[Any]) -> None:
    count = 0
    for count, row in enumerate(rows, start=1):
        prefix = f"{group}-{count - 1}"
        _write(raw, prefix, row, GROUPS[group])
        raw[f"{prefix}-key"] = [str(row.key)]
        if "was" in GROUPS[group].base_fields:
            raw[f"{prefix}-was"] = [row.label]
    raw[f"{group}-TOTAL_FORMS"] = [str(count)]


def keys_of(rows: SiteRows) -> frozenset[UUID]:
    """Return the keys of all saved rows that a sheet may name."""
    plant = (
        row
        for part in (rows.existing, rows.proposed)
        for name in PLANT
        for row in getattr(part, name)
    )
    return frozenset(row.key for row in (*rows.numbers, *rows.caps, *rows.overrides, *plant))

"""The schedule of units: one table, existing and proposed, with panels and storage in it."""

from collections.abc import Sequence
from typing import TypeVar

from connections.facts.defaults import is_counted, known, part_status, quantity_of, status_of
from connections.facts.site import Array, Certificate, Storage, Unit
from connections.pack import cells
from connections.pack.cells import NONE
from connections.pack.content import Block, Cell, Table
from connections.pack.figures import counted, listed, rounded
from connections.pack.items.of_parts import coupling
from connections.pack.needs import CELLS
from connections.pack.sections.layout import Printed, Sheet, stacked

_COLUMNS = (
    "units.id",
    "units.status",
    "units.quantity",
    "units.source",
    "units.kind",
    "units.coupling",
    "arrays.peak",
    "storage.usable",
    "storage.from_grid",
    "units.model",
    "units.type_test_reference",
    "units.standard",
    "units.type_tested",
    "units.rated_w",
    "units.design_w",
    "units.rated_va",
    "units.amps",
    "units.phases",
    "units.dated",
    "units.serials",
)
_MORE = (
    ("storage.charge", "charging", " kW"),
    ("storage.discharge", "discharging", " kW"),
    ("storage.exports", "exports", ""),
)
"""Printed where an operator's layer asks for them: item, words, unit."""
_BLOCK = "units"
Part = TypeVar("Part", Array, Storage)


def unit_blocks(sheet: Sheet) -> list[Block]:
    """The schedule: existing units first, then proposed ones, then those that go."""
    asked = [column_id for column_id, _, _ in _MORE if column_id in sheet.needed]
    reasons = sheet.columns((*_COLUMNS, *asked), _BLOCK)
    return [_units(sheet, (*reasons, *_undescribed(sheet), *_uncounted(sheet), *_islands(sheet)))]


def _units(sheet: Sheet, notes: tuple[str, ...]) -> Table:
    def declared(column_id: str) -> Printed:
        heads = {
            "units.rated_w": ("Registered", 18, "kW"),
            "units.design_w": ("Design", 15, "kW"),
            "units.rated_va": ("Apparent", 16, "kVA"),
            "units.amps": ("Per phase", 11, "A"),
        }
        head, width, unit = heads[column_id]
        return Printed(head, width, lambda row: sheet.cell(column_id, row), unit, True)

    def phases(unit: Unit) -> Cell:
        return Cell(text=" ".join(unit.phases))

    units: list[Unit] = sorted(sheet.case.site.units, key=_order)
    return sheet.table(
        _BLOCK,
        "",
        units,
        (
            Printed("Unit, status", 17, lambda row: _named(sheet, row)),
            Printed("Energy source, coupling, storage", 31, lambda row: _source(sheet, row)),
            Printed(
                "Maker and model, register reference, standard", 37, lambda row: _made(sheet, row)
            ),
            declared("units.rated_w"),
            declared("units.design_w"),
            declared("units.rated_va"),
            declared("units.amps"),
            Printed("Phase", 14, phases),
            Printed("In use or planned, serials", 22, lambda row: _dated(sheet, row)),
        ),
        notes=notes,
    )


def _order(unit: Unit) -> int:
    """Sort key: existing, proposed, removed; otherwise in the order of the facts."""
    return ("existing", "proposed", "removed").index(status_of(unit))


def _named(sheet: Sheet, unit: Unit) -> Cell:
    n = quantity_of(unit)
    many = f"{counted(n, 'unit')}, ratings of each" if n is not None and n > 1 else ""
    board = known(unit.feeds_from) or ""
    status = cells.status_cell(unit)
    return stacked(unit.id, Cell(text=status.text), many, board)


def _source(sheet: Sheet, unit: Unit) -> Cell:
    case = sheet.case
    peak = sum(known(array.peak_w) or 0 for array in _staying(unit, case.site.arrays))
    source = cells.SOURCES[unit.source]
    if case.has_storage(unit):
        source = f"{source}, {coupling(case, unit)}"
    kind = sheet.cell("units.kind", unit)
    lines: list[Cell | str] = [
        f"{source}, {rounded(peak, 'Wp')}" if peak else source,
        *([kind] if unit.kind != "inverter" and not kind.assumed else []),
    ]
    for store in _staying(unit, case.site.storage):
        status = part_status(store.status, unit)
        added = f", {status}" if status != status_of(unit) else ""
        usable, charges = sheet.cell(CELLS, store), sheet.cell("storage.from_grid", store)
        lines.append(Cell(text=f"{usable.text} kWh usable{added}") if usable.text else usable)
        if charges != NONE:
            lines.append(f"grid charging: {charges.text or 'not known'}")
        lines += [
            f"{words}: {sheet.cell(column_id, store).text or 'not known'}{unit_shown}"
            for column_id, words, unit_shown in _MORE
            if column_id in sheet.needed
        ]
    return stacked(*lines)


def _staying(unit: Unit, parts: Sequence[Part]) -> list[Part]:
    """Panels or cells behind a unit; those that go with it or alone only if the unit goes."""
    gone = status_of(unit) == "removed"
    return [
        part
        for part in parts
        if part.unit_id == unit.id and (part_status(part.status, unit) == "removed") == gone
    ]


def _made(sheet: Sheet, unit: Unit) -> Cell:
    model = sheet.cell("units.model", unit)
    reference = sheet.cell("units.type_test_reference", unit)
    standard = cells.of_certificates(unit, _tested)
    return stacked(model, reference, standard if standard.text else NONE)


_EXTENT = {"full": "fully type tested", "part": "partly type tested", "no": "not type tested"}


def _tested(certificate: Certificate) -> Cell:
    extent = _EXTENT.get(known(certificate.type_tested) or "", "")
    return cells.words(", ".join(p for p in (known(certificate.standard) or "", extent) if p))


def _dated(sheet: Sheet, unit: Unit) -> Cell:
    dated = sheet.cell("units.dated", unit)
    serials = sheet.cell("units.serials", unit)
    return stacked(dated, serials)


def _undescribed(sheet: Sheet) -> list[str]:
    """A note on units whose cells nobody described, where the pack needs them."""
    case = sheet.case
    lacking = [u.id for u in case.staying() if case.has_storage(u) and not case.cells_behind(u)]
    if not lacking:
        return []
    needed = CELLS in sheet.needed
    of = tuple(lacking)
    label = "Storage: cells described"
    sheet.enter("storage.described", "storage", label, _BLOCK, "not known", needed, of)
    reasons = [
        f"{name}: not given: {reason}"
        for name in lacking
        if (reason := case.reason_without(CELLS, name))
    ]
    said = f"The cells behind {listed(lacking)} are not described."
    return [*([said] if needed else []), *reasons]


def _uncounted(sheet: Sheet) -> list[str]:
    """A note on units that are listed and not counted."""
    found = [u.id for u in sheet.case.staying() if not is_counted(u)]
    verb = "is" if len(found) == 1 else "are"
    return (
        [f"{listed(found)} {verb} not counted: never in parallel with the network."]
        if found
        else []
    )


def _islands(sheet: Sheet) -> list[str]:
    """Which units can run as an island, and how any is held below its design capacity."""
    sheet.columns(("units.mode", "units.can_island", "units.limited_by"), _BLOCK)
    case = sheet.case
    said = []
    for answer, words in ((True, "can run as an island"), (False, "cannot run as an island")):
        units = [u for u in case.staying() if known(u.can_island) is answer]
        if units:
            who = "No unit" if len(units) == len(case.staying()) and not answer else ""
            verb = "can run as an island" if who else words
            said.append(f"{who or listed([u.id for u in units])} {verb}.")
    assumed = [u.id for u in case.staying() if cells.island_cell(u).assumed]
    if assumed:
        said.append(f"{listed(assumed)} cannot run as an island (assumed).")
    for unit in case.staying():
        limited = known(unit.limited_by)
        if limited in ("maker", "software"):
            how = {"maker": "only its maker can lift", "software": "is made on site"}[limited]
            said.append(f"{unit.id} is held to its registered capacity by a setting that {how}.")
    return [" ".join(said)] if said else []

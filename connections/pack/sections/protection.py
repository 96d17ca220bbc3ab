"""Interface protection: the table of settings for each unit.

The unit's standard, the supply's voltage level and the unit's operating mode choose a table. Plant
of earlier standards keeps the settings of its commissioning. The pack shows those found on site,
and calls no table required for it.
"""

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from connections.facts.defaults import known, mode_of, status_of, voltage_level
from connections.facts.site import Protection, ProtectionSetting, Site, Unit
from connections.pack import cells
from connections.pack.content import Block, Cell, Column, PrintedRow, Prose, Table
from connections.pack.figures import listed, quantity, short_date
from connections.pack.sections.layout import Sheet
from connections.rulebook.book import SettingTable
from connections.rules.plant import standard_of

Basis = Literal["table", "as found", "not parallel", "no standard", "no table"]


class Choice(Struct, frozen=True):
    """Settings for a unit: a table, or the reason for none; and the settings found."""

    unit: Unit
    basis: Basis
    table: SettingTable | None
    found: tuple[ProtectionSetting, ...]


def choose(site: Site, tables: Sequence[SettingTable]) -> tuple[Choice, ...]:
    """One choice for every existing or proposed unit, in the order of the site file."""
    return tuple(_choice(site, unit, tables) for unit in site.units if status_of(unit) != "removed")


def _choice(site: Site, unit: Unit, tables: Sequence[SettingTable]) -> Choice:
    found = tuple(
        setting
        for device in site.protection
        if device.serves == unit.id
        for setting in device.settings
    )
    if mode_of(unit) == "switched":
        return Choice(unit, "not parallel", None, found)
    from connections.rules.checks.basis.interface import keeps_settings, settings_table

    if keeps_settings(unit):
        return Choice(unit, "as found", None, found)
    if standard_of(unit) is None:
        return Choice(unit, "no standard", None, found)
    table = settings_table(site, unit, tables)
    return Choice(unit, "table" if table is not None else "no table", table, found)


_WHY = {
    "not parallel": "none: this unit never runs in parallel; the changeover is interlocked",
    "no standard": "cannot tell: the standard of the unit is not known",
    "no table": "no table in the rulebook for this standard, voltage and mode; "
    "the network operator gives the settings",
}


def protection_blocks(sheet: Sheet) -> list[Block]:
    """Settings of each unit, the tables chosen, the settings found, and other devices."""
    case = sheet.case
    choices = choose(case.site, case.book.settings)
    used: list[SettingTable] = []
    for choice in choices:
        if choice.table is not None and choice.table not in used:
            used.append(choice.table)
    names = {table.id: f"Table {chr(65 + i)}" for i, table in enumerate(used)}
    chosen = _chosen(sheet, choices, names)
    unclear = tuple(c.unit.id for c in choices if c.basis in ("no standard", "no table"))
    sheet.enter(
        "protection.settings",
        "protection",
        "Interface protection settings",
        chosen.id,
        "not known" if unclear else "given",
        of=unclear if len(unclear) < len(choices) else (),
    )
    blocks: list[Block] = [chosen]
    blocks += [_settings(table, names[table.id]) for table in used]
    if found := _found(choices):
        sheet.enter(
            "protection.found", "protection", "Settings as found on site", found.id, needed=False
        )
        blocks.append(found)
    blocks.append(_devices(sheet))
    if case.site.cables:
        blocks.append(_cables(sheet))
    return blocks


def _chosen(sheet: Sheet, choices: Sequence[Choice], names: dict[str, str]) -> Table:
    case = sheet.case
    level = {"LV": "low", "HV": "high"}[voltage_level(case.site)]
    alike: dict[tuple[Cell, ...], list[str]] = {}
    for choice in choices:
        kind = (
            cells.status_cell(choice.unit),
            cells.standards(choice.unit),
            Cell(text=level),
            cells.mode_cell(choice.unit),
            Cell(text=_chosen_words(choice, names)),
        )
        alike.setdefault(kind, []).append(choice.unit.id)
    rows = [PrintedRow((Cell(text=listed(ids)), *kind)) for kind, ids in alike.items()]
    return Table(
        id="protection.choice",
        title="Settings for each unit",
        says="Chosen by the unit's standard, the voltage level of the supply and the way "
        "it is run.",
        columns=(
            Column("Units", 18),
            Column("Status", 12),
            Column("Standard", 11),
            Column("Voltage", 10),
            Column("Operating mode", 18),
            Column("Interface protection", 31),
        ),
        rows=tuple(rows),
        notes=(
            "Settings are not changed after commissioning without the network operator's written "
            "consent.",
        ),
    )


def _chosen_words(choice: Choice, names: dict[str, str]) -> str:
    if choice.table is not None:
        return f"as required: {names[choice.table.id]}"
    if choice.basis != "as found":
        return _WHY[choice.basis]
    if choice.found:
        return "as found on site, listed below"
    return "as found on site; not known yet: read them on site"


def _settings(table: SettingTable, name: str) -> Table:
    notes = [
        f"Source: {table.source} ({table.certainty}, checked {short_date(table.checked)}).",
    ]
    if table.note:
        notes.append(table.note)
    return Table(
        id=f"protection.{name[-1].lower()}",
        title=f"{name}: {table.standard}, {_level_words(table)}, "
        f"{cells.MODES.get(table.operating_mode, table.operating_mode)}",
        says=table.says,
        columns=(
            Column("Function", 40),
            Column("Stage", 14, number=True),
            Column("Setting", 23, number=True),
            Column("Delay", 23, unit="s", number=True),
        ),
        rows=tuple(
            PrintedRow(
                (
                    Cell(text=setting.function),
                    Cell(text=str(setting.stage)) if setting.stage else cells.NONE,
                    Cell(text=setting.written or quantity(setting.amount, setting.unit)),
                    _delay(setting.delay_ms),
                )
            )
            for setting in table.settings
        ),
        notes=tuple(notes),
    )


def _level_words(table: SettingTable) -> str:
    return {"LV": "low voltage", "HV": "high voltage"}.get(table.voltage_level, table.voltage_level)


def _delay(delay_ms: int | None) -> Cell:
    return cells.NONE if delay_ms is None else cells.whole(delay_ms, 3)


def _found(choices: Sequence[Choice]) -> Table | None:
    rows = tuple(
        PrintedRow(
            (
                Cell(text=choice.unit.id),
                Cell(text=setting.function),
                cells.whole(setting.stage),
                Cell(text=quantity(setting.value, setting.unit)),
                cells.whole(setting.delay_ms, 3),
            )
        )
        for choice in choices
        for setting in choice.found
    )
    if not rows:
        return None
    return Table(
        id="protection.found",
        title="As found on site",
        says="Read from the equipment. For plant of an earlier standard this is the record, "
        "not a requirement.",
        columns=(
            Column("Unit", 20),
            Column("Function", 34),
            Column("Stage", 12, number=True),
            Column("Setting", 18, number=True),
            Column("Delay", 16, unit="s", number=True),
        ),
        rows=rows,
        notes=(
            "Where a value differs from a table above, the network operator's written agreement "
            "is needed.",
        ),
    )


def _devices(sheet: Sheet) -> Block:
    devices = sheet.case.site.protection
    if not devices:
        sheet.enter(
            "protection.devices",
            "protection",
            "Protective devices",
            "protection.devices",
            "not known",
            needed=False,
        )
        return Prose(
            "protection.devices", "Protective devices", ("No protective devices are stated.",)
        )
    sheet.enter(
        "protection.devices",
        "protection",
        "Protective devices",
        "protection.devices",
        needed=False,
    )
    places = [_place(device) for device in devices]
    placed = any(place != cells.NONE for place in places)
    return Table(
        id="protection.devices",
        title="Protective devices",
        columns=(
            Column("Serves", 16 if placed else 20),
            Column("Device", 20 if placed else 26),
            Column("Rating", 10 if placed else 12, unit="A", number=True),
            Column("Residual-current type", 13 if placed else 14),
            Column("Direction", 11 if placed else 14),
            Column("Reference", 11 if placed else 14),
            *([Column("Where it is", 19)] if placed else []),
        ),
        rows=tuple(
            PrintedRow((*_device(device), *([place] if placed else [])))
            for device, place in zip(devices, places, strict=True)
        ),
    )


def _device(device: Protection) -> tuple[Cell, ...]:
    optional = (device.rcd_type, device.direction, device.reference)
    return (
        cells.words(device.serves),
        Cell(text=device.kind),
        cells.rated(device.rating_a, 0),
        *(cells.words(value) if value else cells.NONE for value in optional),
    )


def _place(device: Protection) -> Cell:
    """Where a device sits, and whether a lock can hold it open."""
    locked = {True: "can be locked off", False: "cannot be locked off", None: ""}
    said = (known(device.place) or "", locked[known(device.lockable)])
    return cells.words("; ".join(part for part in said if part)) if any(said) else cells.NONE


def _cables(sheet: Sheet) -> Table:
    sheet.enter("protection.cables", "protection", "Cables", "protection.cables", needed=False)
    return Table(
        id="protection.cables",
        title="Cables",
        columns=(
            Column("From", 18),
            Column("To", 18),
            Column("Length", 13, unit="m", number=True),
            Column("Size", 11, unit="mm²", number=True),
            Column("Cores", 9, number=True),
            Column("Conductor and insulation", 18),
            Column("Method", 13),
        ),
        rows=tuple(
            PrintedRow(
                (
                    Cell(text=cable.from_),
                    Cell(text=cable.to),
                    cells.whole(cable.length_mm, 3),
                    cells.words(cable.csa_mm2),
                    cells.rated(cable.cores, 0),
                    _conductor(cable.material, cable.insulation),
                    cells.words(cable.method),
                )
            )
            for cable in sheet.case.site.cables
        ),
    )


def _conductor(*parts: object) -> Cell:
    named = [part for part in parts if isinstance(part, str) and part.strip()]
    return Cell(text=listed(named)) if named else cells.NOT_KNOWN

"""Interface protection: the table of settings for each unit.

The unit's standard, the supply's voltage level and the unit's operating mode choose a table. Plant
of earlier standards keeps the settings of its commissioning. The pack shows those found on site,
and calls no table required for it.
"""

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from connections.facts.defaults import is_fully_tested, kind_of, mode_of, status_of
from connections.facts.site import ProtectionSetting, Site, Unit
from connections.pack import cells
from connections.pack.content import Block, Cell, Column, PrintedRow, Table
from connections.pack.figures import listed, quantity, short
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
    "not parallel": "none: never in parallel, interlocked changeover",
    "no standard": "not known: no standard is stated",
    "no table": "as the network operator gives them",
}


def protection_blocks(sheet: Sheet) -> list[Block]:
    """One row for units protected alike; settings only of units that are not fully tested."""
    case = sheet.case
    choices = choose(case.site, case.book.settings)
    if not choices:
        return []
    used: list[SettingTable] = []
    for choice in choices:
        # The type test covers the settings of a fully tested unit.
        if choice.table is not None and choice.table not in used and not _as_tested(choice):
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
    return blocks


def _as_tested(choice: Choice) -> bool:
    return choice.basis == "table" and is_fully_tested(choice.unit)


def _chosen(sheet: Sheet, choices: Sequence[Choice], names: dict[str, str]) -> Table:
    alike: dict[tuple[Cell, ...], list[str]] = {}
    for choice in choices:
        kind = (
            Cell(text=_where(choice)),
            Cell(text=_settings_words(choice, names)),
            _from_book(sheet, choice, "protection.reconnect_delay", "at least {} s"),
            _from_book(sheet, choice, "power_factor.lowest", "{} lagging to {} leading"),
        )
        alike.setdefault(kind, []).append(choice.unit.id)
    rows = [
        PrintedRow((Cell(text=_units_words(ids, choices)), *kind)) for kind, ids in alike.items()
    ]
    return Table(
        id="protection",
        title="",
        columns=(
            Column("Units", 20),
            Column("Protection", 22),
            Column("Settings", 28),
            Column("Reconnects after", 13),
            Column("Power factor", 17),
        ),
        rows=tuple(rows),
        notes=("Settings are changed only with the network operator's written consent.",),
    )


def _units_words(ids: list[str], choices: Sequence[Choice]) -> str:
    return "all units" if len(ids) == len(choices) > 3 else listed(ids)


def _where(choice: Choice) -> str:
    if choice.basis == "not parallel":
        return "none"
    kind = "in the inverter" if kind_of(choice.unit) == "inverter" else "of the machine"
    standard = standard_of(choice.unit)
    return f"{kind}, {standard}" if standard else kind


def _settings_words(choice: Choice, names: dict[str, str]) -> str:
    if _as_tested(choice):
        return "as type tested, register reference above"
    if choice.table is not None:
        return f"{names[choice.table.id]} below"
    if choice.basis != "as found":
        return _WHY[choice.basis]
    return "as found on site, below" if choice.found else "as commissioned"


def _from_book(sheet: Sheet, choice: Choice, key: str, words: str) -> Cell:
    """A requirement on plant of a current standard; a dash for other plant."""
    if choice.basis != "table" or key not in sheet.case.book.values:
        return cells.NONE
    figure = short(sheet.case.book.whole(key), 3)
    return Cell(text=words.replace("{}", figure))


def _settings(table: SettingTable, name: str) -> Table:
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
        says="Read from the equipment.",
        columns=(
            Column("Unit", 20),
            Column("Function", 34),
            Column("Stage", 12, number=True),
            Column("Setting", 18, number=True),
            Column("Delay", 16, unit="s", number=True),
        ),
        rows=rows,
    )

"""Isolation, circuits and loads: where each unit is isolated, its run, loads, and emissions."""

from connections.facts.defaults import known
from connections.facts.site import Cable, Load, Protection, Unit
from connections.pack import cells
from connections.pack.cells import NONE
from connections.pack.content import Block, Cell, Column, Facts, PrintedRow, Prose, Table
from connections.pack.figures import listed, rounded
from connections.pack.items.of_scheme import LARGER
from connections.pack.items.types import LARGE
from connections.pack.sections.layout import Printed, Sheet, stacked

_LOAD_COLUMNS = ("loads.name", "loads.w", "loads.phases", "loads.controllable")


def circuit_blocks(sheet: Sheet) -> list[Block]:
    """Isolators and circuits of the units, access, loads, and emissions declared."""
    case = sheet.case
    blocks: list[Block] = []
    alike: dict[tuple[Cell, Cell, Cell], list[str]] = {}
    for unit in case.staying():
        run = (_isolators(sheet, unit), _devices(sheet, unit), _cables(sheet, unit))
        alike.setdefault(run, []).append(unit.id)
    alike.pop((NONE, NONE, NONE), None)
    if alike:
        sheet.enter("circuits", "protection", "Isolators and circuits", "circuits", needed=False)
        blocks.append(
            Table(
                id="circuits",
                title="",
                columns=(
                    Column("Units", 13),
                    Column("Isolator, its place", 31),
                    Column("Circuit", 22),
                    Column("Cable", 34),
                ),
                rows=tuple(
                    PrintedRow((Cell(text=listed(ids)), *run)) for run, ids in alike.items()
                ),
            )
        )
    access = sheet.facts("access", "", ("premises.access",))
    blocks += [access] if access.items else []
    blocks += _loads(sheet)
    if said := _emissions(sheet):
        sheet.enter("emissions", "units", "Harmonics and flicker", "emissions", needed=False)
        blocks.append(Prose("emissions", "", (said,)))
    return blocks


def larger_blocks(sheet: Sheet) -> list[Block]:
    """Network data above 50 kW, given in reports beside the pack; none for other plant."""
    if sheet.case.procedure not in LARGE:
        return []
    facts = sheet.facts("larger", "", [f"larger.{key}" for key, _ in LARGER])
    return [Facts("larger", "", facts.items)]


def _serving(sheet: Sheet, unit: Unit, isolators: bool) -> list[Protection]:
    return [
        device
        for device in sheet.case.site.protection
        if device.serves == unit.id
        and device.kind != "interface protection"
        and ("isolator" in device.kind) is isolators
    ]


def _isolators(sheet: Sheet, unit: Unit) -> Cell:
    return stacked(*(_isolator(device) for device in _serving(sheet, unit, True)))


def _isolator(device: Protection) -> str:
    locked: dict[bool | None, str] = {True: "can be locked off", False: "cannot be locked off"}
    size = cells.rated(device.rating_a, 0).text
    parts = (
        device.kind if device.kind != "isolator" or not size else "",
        f"{size} A" if size else "",
        known(device.place) or "place to be confirmed on site",
        locked.get(known(device.lockable), ""),
    )
    return ", ".join(part for part in parts if part)


def _devices(sheet: Sheet, unit: Unit) -> Cell:
    return stacked(*(_device(device) for device in _serving(sheet, unit, False)))


def _device(device: Protection) -> str:
    size = cells.rated(device.rating_a, 0).text
    curve = known(device.breaker_type)
    rated = f" {curve}{size}" if curve else f" {size} A"
    parts = (
        f"{device.kind}{rated if size else ''}",
        f"type {device.rcd_type}" if known(device.rcd_type) else "",
        known(device.direction) or "",
    )
    return ", ".join(part for part in parts if part)


def _cables(sheet: Sheet, unit: Unit) -> Cell:
    runs = [c for c in sheet.case.site.cables if c.unit_id == unit.id or c.to == unit.id]
    return stacked(*(_cable(cable) for cable in runs))


def _cable(cable: Cable) -> str:
    length = known(cable.length_mm)
    earth = known(cable.protective_mm2)
    parts = (
        f"{cable.csa_mm2} mm²" if known(cable.csa_mm2) else "",
        f"protective {earth} mm²" if earth else "",
        known(cable.material) or "",
        rounded(length, "mm") if length else "",
    )
    return f"{', '.join(part for part in parts if part)} from {cable.from_}"


def _loads(sheet: Sheet) -> list[Block]:
    loads = sheet.case.loads
    if loads is None:
        return []
    if not loads.items:
        return [Prose("loads", "", ("No heat pump and no charge point is stated.",))]
    notes = sheet.columns(_LOAD_COLUMNS, "loads")
    return [
        sheet.table(
            "loads",
            "Heat pumps, charge points and other large loads",
            loads.items,
            (
                Printed("Load", 40, _load_name),
                Printed("Power", 18, lambda load: sheet.cell("loads.w", load), "kW", True),
                Printed("Phases", 20, lambda load: sheet.cell("loads.phases", load)),
                Printed(
                    "Can be turned down", 22, lambda row: sheet.cell("loads.controllable", row)
                ),
            ),
            notes=notes,
        )
    ]


def _load_name(load: Load) -> Cell:
    added = known(load.status)
    return Cell(text=f"{load.name}, {added}" if added else load.name)


def _emissions(sheet: Sheet) -> str:
    """Which units are declared to which standards of the series 61000-3."""
    declared: dict[tuple[str, ...], list[str]] = {}
    for unit in sheet.case.staying():
        if standards := known(unit.emission_standards):
            declared.setdefault(tuple(sorted(standards)), []).append(unit.id)
    said = [f"{listed(ids)} to IEC {listed(names)}" for names, ids in declared.items()]
    return f"Harmonics and flicker declared: {'; '.join(said)}." if said else ""

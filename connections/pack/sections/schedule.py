"""Sections on parties and premises, and the schedule of units, panels, storage and demand."""

from connections.facts.defaults import is_counted, known, status_of
from connections.facts.reading import party
from connections.facts.site import Premises, Unit
from connections.pack.content import Block, Cell, Column, PrintedRow, Prose, Table
from connections.pack.figures import listed, quantity
from connections.pack.items.of_parts import coupling
from connections.pack.items.of_scheme import LARGER
from connections.pack.items.types import ARRAYS, LARGE, LOADS, STORAGE, UNITS
from connections.pack.needs import CELLS
from connections.pack.sections.layout import Sheet

_CUSTOMER = (
    "customer.name",
    "customer.role",
    "customer.address_lines",
    "customer.phone",
    "customer.email",
    "customer.owner_consent",
)
_CONTACT = ("name", "role", "registration", "address_lines", "phone", "email")


def party_blocks(sheet: Sheet) -> list[Block]:
    """Customer, applicant and installer."""
    blocks: list[Block] = [sheet.facts("parties.customer", "Customer", _CUSTOMER)]
    if party(sheet.case.site, "applicant") is not None:
        ids = [f"applicant.{field}" for field in _CONTACT]
        blocks.append(sheet.facts("parties.applicant", "Applicant", ids))
    ids = [f"installer.{field}" for field in _CONTACT if field != "role"]
    notes = ["No other applicant is named: the installer applies for the customer."]
    if party(sheet.case.site, "applicant") is not None:
        notes = []
    blocks.append(sheet.facts("parties.installer", "Installer", ids, notes))
    return blocks


def premises_blocks(sheet: Sheet) -> list[Block]:
    """The premises, and the supply to it."""
    place = sheet.facts(
        "premises.place",
        "Premises",
        (
            "premises.name",
            "premises.address_lines",
            "premises.postcode",
            "premises.nation",
            "premises.grid",
            "premises.import_number",
            "premises.export_number",
            "premises.metering",
            *_where_known(sheet, "feeder", "access"),
            "case.nearby",
        ),
    )
    supply = sheet.facts(
        "premises.supply",
        "Supply",
        (
            "supply.phases",
            "supply.nominal_v",
            "supply.voltage_level",
            "supply.cutout_a",
            "supply.earthing",
            "supply.looped",
            "supply.import_capacity_va",
            "supply.export_capacity_va",
            "supply.loop_impedance_uohm",
            "supply.prospective_fault_a",
            "supply.voltage_optimiser",
        ),
    )
    return [place, supply, *_demand(sheet)]


def _where_known(sheet: Sheet, *names: str) -> tuple[str, ...]:
    """Those facts of the premises that are known; no reader asks for the others."""
    premises = sheet.case.site.premises
    if not isinstance(premises, Premises):
        return ()
    return tuple(f"premises.{name}" for name in names if known(getattr(premises, name)))


def _demand(sheet: Sheet) -> list[Block]:
    case = sheet.case
    ids = ("demand.assessed", "demand.measured")
    blocks: list[Block] = [sheet.facts("demand.figure", "Demand on the same supply", ids)]
    if case.loads is not None and case.loads.items:
        blocks.append(sheet.table("demand.items", "Large items of load", case.loads.items, LOADS))
    if case.procedure in LARGE:
        larger = [f"larger.{key}" for key, _ in LARGER]
        blocks.append(sheet.facts("larger", "Network data for larger plant", larger))
    return blocks


def unit_blocks(sheet: Sheet) -> list[Block]:
    """The schedule of units, in several tables over the same rows, and the panels behind them."""
    case = sheet.case
    units = sorted(case.site.units, key=_order)
    states = [status_of(unit) for unit in units]
    counts = [
        f"{states.count(status)} {status}"
        for status in ("existing", "proposed", "removed")
        if status in states
    ]
    uncounted = [unit.id for unit in units if status_of(unit) != "removed" and not is_counted(unit)]
    notes = []
    if uncounted:
        notes.append(
            f"{listed(uncounted)} {'is' if len(uncounted) == 1 else 'are'} listed and not counted: "
            "never in parallel with the network, or no unit at all."
        )
    if "removed" in states:
        notes.append("Removed units are taken out of use and are not counted.")
    blocks: list[Block] = [
        sheet.table(
            "units.what",
            "What there is",
            units,
            UNITS,
            "what",
            f"Each row is a unit, or several like ones: {listed(counts)}.",
            notes,
        ),
        sheet.table(
            "units.ratings",
            "Ratings and phases",
            units,
            UNITS,
            "ratings",
            f"Current per phase at {_volts(sheet)} phase to neutral and unity power factor, "
            "from the registered capacity.",
        ),
        sheet.table("units.standing", "Standard, type test and dates", units, UNITS, "standing"),
    ]
    if case.after_the_work or any(unit.serials for unit in units):
        told = case.subjects if case.after_the_work else units
        blocks.append(sheet.table("units.serials", "Serial numbers", told, UNITS, "serials"))
    if case.site.arrays:
        blocks.append(sheet.table("units.arrays", "Panels", case.site.arrays, ARRAYS))
    return blocks


def _order(unit: Unit) -> int:
    """Sort key: existing, proposed, removed; otherwise in the order of the facts."""
    return ("existing", "proposed", "removed").index(status_of(unit))


def _volts(sheet: Sheet) -> str:
    return quantity(sheet.case.nominal_mv, "mV")


def storage_blocks(sheet: Sheet) -> list[Block]:
    """Storage and its coupling; one sentence where there is none."""
    case = sheet.case
    units = [unit for unit in case.staying() if case.has_storage(unit)]
    if not units:
        return [Prose("storage.none", "", ("There is no storage, and none is proposed.",))]
    ways: dict[tuple[str, str], list[str]] = {}
    for unit in units:
        ways.setdefault(coupling(case, unit), []).append(unit.id)
    blocks: list[Block] = [
        Table(
            id="storage.coupling",
            title="How it is coupled",
            says="An inverter counts at its AC rating whatever stands behind it.",
            columns=(Column("Coupling", 18), Column("What it means", 47), Column("Units", 35)),
            rows=tuple(
                PrintedRow((Cell(text=name), Cell(text=meaning), Cell(text=listed(ids))))
                for (name, meaning), ids in ways.items()
            ),
        )
    ]
    if case.site.storage:
        blocks.append(sheet.table("storage.cells", "Cells", case.site.storage, STORAGE))
    undescribed = [unit.id for unit in units if not case.cells_behind(unit)]
    if undescribed:
        sheet.enter(
            "storage.described",
            "storage",
            "Storage: cells described",
            "storage.coupling",
            "not known",
            CELLS in sheet.needed,
            tuple(undescribed),
        )
        said = [f"The cells behind {listed(undescribed)} are not described: not known."]
        for name in undescribed:
            if reason := case.reason_without(CELLS, name):
                said.append(f"{name}: not known at sending: {reason}")
        blocks.append(Prose("storage.undescribed", "", tuple(said)))
    return blocks

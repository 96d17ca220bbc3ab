"""What the network sees: registered capacity added up on every phase, with its workings."""

from connections.electrical.phase_sums import SCALE_PER_W, whole_milliamps
from connections.facts.decision import PhaseSum, PhaseTerm
from connections.facts.site import Unit
from connections.pack import cells
from connections.pack.cells import NONE, NOT_KNOWN
from connections.pack.content import Block, Cell, Column, PrintedRow, Table
from connections.pack.figures import fixed, listed, quantity
from connections.pack.sections.layout import Sheet, shared_width

_KINDS = {"synchronous": "synchronous unit", "power-park": "inverters and asynchronous units"}


def network_blocks(sheet: Sheet) -> list[Block]:
    """Sums per phase with workings, the largest export, and the modules."""
    case = sheet.case
    blocks: list[Block] = [_sums(sheet), _export(sheet)]
    if case.decision.modules:
        blocks.append(_modules(sheet))
    return blocks


def _sums(sheet: Sheet) -> Table:
    sums = sheet.case.decision.phase_sums
    on_phases = {term.unit: term for phase in sums for term in phase.terms}
    terms = {u.id: on_phases[u.id] for u in sheet.case.site.units if u.id in on_phases}
    hundredths = [_hundredths(term) for term in terms.values()]
    two_decimals = any(each is not None and each % 100 for each in hundredths)
    rows = [
        PrintedRow(
            (
                Cell(text=name),
                Cell(text=term.status),
                _working(term),
                *(_on_phase(term, phase, two_decimals) for phase in sums),
            )
        )
        for name, term in terms.items()
    ]
    rows.append(
        PrintedRow(
            (
                Cell(text="Sum"),
                NONE,
                Cell(text="W"),
                *(_sum_w(phase, two_decimals) for phase in sums),
            ),
            total=True,
        )
    )
    rows.append(
        PrintedRow(
            (Cell(text="Current"), NONE, Cell(text="A"), *(cells.whole(p.ma, 3) for p in sums)),
            total=True,
        )
    )
    if any(p.exact_ma is not None and p.exact_ma[1] != 1 for p in sums):
        rows.append(
            PrintedRow(
                (Cell(text="Exactly"), NONE, Cell(text="mA"), *(_exactly(p) for p in sums)),
                total=True,
            )
        )
    known = all(p.ma is not None for p in sums)
    sheet.enter(
        "network.sums",
        "network",
        "Aggregate registered capacity per phase",
        "network.sums",
        "given" if known else "not known",
    )
    return Table(
        id="network.sums",
        title="Aggregate registered capacity per phase",
        says="Existing and proposed units, each at its registered capacity, shared equally by the "
        "phases that it is on. No diversity, and no limit lowers it. Amps at "
        f"{quantity(sheet.case.nominal_mv, 'mV')} phase to neutral, unity power factor.",
        columns=_sum_columns([phase.phase for phase in sums]),
        rows=tuple(rows),
        notes=("The comparisons with limits use the exact sums, not the rounded figures.",),
    )


def _sum_columns(phases: list[str]) -> tuple[Column, ...]:
    widths = shared_width([18, 13, 30, *([13] * len(phases))])
    heads = (
        Column("Unit", widths[0]),
        Column("Status", widths[1]),
        Column("Units × registered ÷ phases", widths[2]),
    )
    return heads + tuple(
        Column(phase, width, "W", number=True)
        for phase, width in zip(phases, widths[3:], strict=True)
    )


def _working(term: PhaseTerm) -> Cell:
    if term.quantity is None or term.rated_w is None:
        return NOT_KNOWN
    return Cell(text=f"{term.quantity:,} × {term.rated_w:,} W ÷ {term.phases}")


def _hundredths(term: PhaseTerm) -> int | None:
    """The term's share on one phase in hundredths of a watt, half up."""
    if term.quantity is None or term.rated_w is None:
        return None
    return (200 * term.quantity * term.rated_w + term.phases) // (2 * term.phases)


def _watts(hundredths: int, two_decimals: bool) -> Cell:
    return Cell(text=fixed(hundredths, 2) if two_decimals else fixed(hundredths // 100, 0))


def _on_phase(term: PhaseTerm, phase: PhaseSum, two_decimals: bool) -> Cell:
    if all(other.unit != term.unit for other in phase.terms):
        return NONE
    hundredths = _hundredths(term)
    return NOT_KNOWN if hundredths is None else _watts(hundredths, two_decimals)


def _sum_w(phase: PhaseSum, two_decimals: bool) -> Cell:
    if phase.sixths_w is None:
        return NOT_KNOWN
    return _watts((100 * phase.sixths_w + 3) // 6, two_decimals)


def _exactly(phase: PhaseSum) -> Cell:
    if phase.exact_ma is None:
        return NOT_KNOWN
    over, under = phase.exact_ma
    return Cell(text=str(over) if under == 1 else f"{over}/{under}")


def _export(sheet: Sheet) -> Table:
    case = sheet.case
    decision = case.decision
    phases = list(decision.export_per_phase_ma)
    sheet.enter(
        "network.export",
        "network",
        "Largest export, per phase and in all",
        "network.export",
        "given" if decision.export_w is not None else "not known",
    )
    limit = case.limit("export")
    note = "No export limit is stated: what the units can give can be exported."
    if limit is not None:
        note = (
            "The export limit sets these figures and lowers no sum above. A scheme counts here "
            "only if it is fully type tested."
        )
    widths = shared_width([34, *([22] * (len(phases) + 1))])
    return Table(
        id="network.export",
        title="Largest export at once",
        columns=(
            Column("What", widths[0]),
            *(Column(p, w, "A", True) for p, w in zip(phases, widths[1:-1], strict=True)),
            Column("In all", widths[-1], "kW", number=True),
        ),
        rows=(
            PrintedRow(
                (
                    Cell(text="Export figure"),
                    *(cells.whole(decision.export_per_phase_ma[phase], 3) for phase in phases),
                    cells.whole(decision.export_w, 3),
                )
            ),
        ),
        notes=(note,),
    )


def _modules(sheet: Sheet) -> Table:
    decision = sheet.case.decision
    sheet.enter("network.modules", "network", "Modules and size class", "network.modules")
    return Table(
        id="network.modules",
        title="Power generating modules",
        says="All inverters and asynchronous units at one connection point are one module; each "
        "synchronous unit is a module of its own (EREC G99 Issue 2, section 4).",
        columns=(
            Column("Module", 14),
            Column("Units", 40),
            Column("Kind", 22),
            Column("Registered", 12, unit="kW", number=True),
            Column("Size class", 12),
        ),
        rows=tuple(
            PrintedRow(
                (
                    Cell(text=str(i)),
                    Cell(text=listed(module.units)),
                    Cell(text=_KINDS[module.kind]),
                    cells.whole(module.w, 3),
                    cells.words(
                        f"Type {module.size_class}"
                        if module.size_class in ("A", "B", "C", "D")
                        else module.size_class
                    ),
                )
            )
            for i, module in enumerate(decision.modules, start=1)
        ),
        notes=(
            f"Facility in all: {quantity(decision.facility_w, 'W')}."
            if decision.facility_w is not None
            else "Facility in all: not known.",
        ),
    )


def capacity_of(sheet: Sheet, units: tuple[Unit, ...]) -> tuple[int | None, dict[str, int | None]]:
    """Registered capacity [W] of some counted units, and their current on each phase [mA].

    None where a rating or a number of units is not known.
    """
    names = {unit.id for unit in units}
    sums = sheet.case.decision.phase_sums
    chosen = {t.unit: t for p in sums for t in p.terms if t.unit in names}
    total = _added([_line_w(term) for term in chosen.values()])
    per_phase: dict[str, int | None] = {}
    for phase in sums:
        terms = [term for term in phase.terms if term.unit in names]
        scaled = _added([_line_scaled(term) for term in terms])
        per_phase[phase.phase] = (
            None if scaled is None else whole_milliamps(scaled, sheet.case.nominal_mv)
        )
    return total, per_phase


def _line_w(term: PhaseTerm) -> int | None:
    if term.quantity is None or term.rated_w is None:
        return None
    return term.quantity * term.rated_w


def _line_scaled(term: PhaseTerm) -> int | None:
    watts = _line_w(term)
    return None if watts is None else watts * SCALE_PER_W // term.phases


def _added(parts: list[int | None]) -> int | None:
    known = [part for part in parts if part is not None]
    return sum(known) if len(known) == len(parts) else None

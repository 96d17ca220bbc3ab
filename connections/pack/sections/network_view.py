"""What the network sees: registered capacity added up on every phase, with its workings."""

from connections.electrical.phase_sums import SCALE_PER_W, whole_milliamps
from connections.facts.decision import PhaseSum, PhaseTerm
from connections.facts.defaults import quantity_of, rating, status_of
from connections.facts.site import Unit
from connections.pack import cells
from connections.pack.cells import NONE, NOT_KNOWN
from connections.pack.content import (
    Block,
    Cell,
    Column,
    PhaseBar,
    PhaseBars,
    PlotLevel,
    PrintedRow,
    Side,
    State,
    Table,
)
from connections.pack.figures import fixed, listed, quantity, rounded, two
from connections.pack.sections.layout import Sheet, shared_width
from connections.rules.phase_limits import limits_near

_KINDS = {"synchronous": "synchronous unit", "power-park": "inverters and asynchronous units"}


def network_blocks(sheet: Sheet) -> list[Block]:
    """The sums in all and on each phase: existing, proposed, together, and the largest export."""
    bars = _bars(sheet)
    return [*([bars] if bars is not None else []), _capacities(sheet)]


def working_blocks_of_sums(sheet: Sheet) -> list[Block]:
    """How the sums follow, unit by unit, and the modules."""
    blocks: list[Block] = [_sums(sheet)]
    if sheet.case.decision.modules:
        blocks.append(_modules(sheet))
    return blocks


_UNITY = "Registered capacity; amps at {}, unity power factor"


def _capacities(sheet: Sheet) -> Table:
    case = sheet.case
    decision = case.decision
    phases = list(decision.per_phase_ma)
    several = len(phases) > 1
    there, asked = _parted(sheet)
    names = _names(sheet)
    rows = [
        _capacity_row(sheet, names[0], there),
        _capacity_row(sheet, names[1], asked),
        _capacity_row(sheet, "Together", case.counted(), total=True),
        _export_row(sheet),
    ]
    known_sums = decision.total_w is not None and all(
        ma is not None for ma in decision.per_phase_ma.values()
    )
    for key, label, known_all in (
        ("sums", "Registered capacity in all and on each phase", known_sums),
        ("export", "Largest export", decision.export_w is not None),
    ):
        state: State = "given" if known_all else "not known"
        sheet.enter(f"network.{key}", "network", label, "network", state)
    if (limited := _limit_row(sheet)) is not None:
        rows.append(limited)
    heads = [("In all", "kW"), ("In all", "kVA")]
    for phase in phases:
        heads += [*([(phase, "kW")] if several else []), (phase, "A")]
    va_assumed = any(row.cells[2].assumed for row in rows)
    first = 36 if several else 30
    widths = shared_width([first, *([12] * len(heads))])
    return Table(
        id="network",
        title="",
        columns=(
            Column(_UNITY.format(rounded(case.nominal_mv, "mV")), widths[0]),
            *(
                Column(name, width, unit, True, assumed=unit == "kVA" and va_assumed)
                for (name, unit), width in zip(heads, widths[1:], strict=True)
            ),
        ),
        rows=tuple(rows),
        notes=tuple(_balance(sheet)),
    )


def _names(sheet: Sheet) -> tuple[str, str]:
    """Words for what is there and for what the pack is about."""
    return ("Before", "Connected now") if sheet.case.after_the_work else ("Existing", "Proposed")


def _parted(sheet: Sheet) -> tuple[tuple[Unit, ...], tuple[Unit, ...]]:
    """The counted units: those that are there, and those that the pack is about."""
    case = sheet.case
    asked = tuple(
        unit
        for unit in case.counted()
        if unit.id in case.subject and (case.after_the_work or status_of(unit) != "existing")
    )
    return tuple(unit for unit in case.counted() if unit not in asked), asked


def _bars(sheet: Sheet) -> PhaseBars | None:
    """The sums of phases as bars with the limits near them; None where a sum is not known."""
    decision = sheet.case.decision
    there = capacity_of(sheet, _parted(sheet)[0])[1]
    together = decision.per_phase_ma
    limits = limits_near(sheet.case.book, decision)
    bars: list[PhaseBar] = []
    for phase, ma in together.items():
        first = there[phase]
        if ma is None or first is None:
            return None
        # The second part closes the sum as decided, so that roundings don't add up.
        bars.append(PhaseBar(phase, first, ma - first))
    if not limits or not any(bar.there + bar.asked for bar in bars):
        return None
    levels = tuple(PlotLevel(rounded(ma, "mA"), ma) for ma in limits)
    names = _names(sheet)
    said = [
        f"{bar.phase}: {names[0].lower()} {rounded(bar.there, 'mA')}, {names[1].lower()} "
        f"{rounded(bar.asked, 'mA')}, together {rounded(bar.there + bar.asked, 'mA')}"
        for bar in bars
    ]
    told = f"{'; '.join(said)}. Limits of procedures: {listed([each.name for each in levels])}."
    side: Side = "right" if len(bars) == 1 else ""
    return PhaseBars("network.bars", "", told, names, tuple(bars), levels, side)


def _capacity_row(
    sheet: Sheet, label: str, units: tuple[Unit, ...], total: bool = False
) -> PrintedRow:
    several = len(sheet.case.decision.per_phase_ma) > 1
    if not units:
        per = 2 if several else 1
        return PrintedRow(
            (Cell(text=label), *[NONE] * (2 + per * len(sheet.case.decision.per_phase_ma)))
        )
    watts, per_phase = capacity_of(sheet, units)
    va = _kilovoltamperes(units)
    found = [Cell(text=label), cells.whole(watts, 3), va]
    for phase, ma in per_phase.items():
        if several:
            found.append(_kilowatts_on(sheet, units, phase))
        found.append(cells.whole(ma, 3))
    return PrintedRow(tuple(found), total=total)


def _kilovoltamperes(units: tuple[Unit, ...]) -> Cell:
    """Apparent power in all; where none is stated for a unit, its registered capacity."""
    whole, any_assumed = 0, False
    for unit in units:
        stated, n = rating(unit.rated_va), quantity_of(unit)
        one = stated if stated is not None else rating(unit.rated_w)
        if one is None or n is None:
            return NOT_KNOWN
        whole, any_assumed = whole + one * n, any_assumed or stated is None
    return Cell(text=two(whole, 3), assumed=any_assumed)


def _kilowatts_on(sheet: Sheet, units: tuple[Unit, ...], phase: str) -> Cell:
    """Registered capacity on one phase; a unit loads its phases equally."""
    names = {unit.id for unit in units}
    terms = [
        term
        for each in sheet.case.decision.phase_sums
        if each.phase == phase
        for term in each.terms
        if term.unit in names
    ]
    shares = [_line_scaled(term) for term in terms]
    whole = _added(shares)
    return NOT_KNOWN if whole is None else cells.whole(whole // SCALE_PER_W, 3)


def _export_row(sheet: Sheet) -> PrintedRow:
    decision = sheet.case.decision
    several = len(decision.export_per_phase_ma) > 1
    limited = sheet.case.limit("export") is not None
    label = "Largest export, after the limit" if limited else "Largest export"
    found = [Cell(text=label), cells.whole(decision.export_w, 3), NONE]
    for ma in decision.export_per_phase_ma.values():
        found += [*([NONE] if several else []), cells.whole(ma, 3)]
    return PrintedRow(tuple(found))


def _limit_row(sheet: Sheet) -> PrintedRow | None:
    """The export limit in its own unit; None where there is none."""
    limit = sheet.case.limit("export")
    if limit is None:
        return None
    phases = list(sheet.case.decision.per_phase_ma)
    value = cells.whole(limit.value, 3)
    in_all = {"w_total": (value, NONE), "va_total": (NONE, value)}.get(limit.basis, (NONE, NONE))
    on_phase = value if limit.basis == "ma_per_phase" else NONE
    found = [Cell(text="Export limit"), *in_all]
    for _ in phases:
        found += [*([NONE] if len(phases) > 1 else []), on_phase]
    return PrintedRow(tuple(found))


def _balance(sheet: Sheet) -> list[str]:
    """How far phases of a three-phase supply are apart, by the sums together."""
    on_phases = list(sheet.case.decision.per_phase_ma.values())
    if len(on_phases) < 3 or any(ma is None for ma in on_phases):
        return []
    currents = [ma for ma in on_phases if ma is not None]
    apart = two(max(currents) - min(currents), 3)
    return [f"Imbalance: at full output of all units the phases are {apart} A apart."]


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

"""Page one: what the pack is and what it asks for."""

from connections.facts.defaults import is_counted, is_month, status_of
from connections.facts.site import Unit
from connections.pack import cells
from connections.pack.case import UNDETERMINED, Case
from connections.pack.content import Block, Cell, Column, Contents, Kind, PrintedRow, Prose, Table
from connections.pack.figures import counted, fixed, listed, quantity, when_words
from connections.pack.items.of_scheme import limit_text
from connections.pack.sections.findings import undecided
from connections.pack.sections.layout import Sheet, shared_width
from connections.pack.sections.network_view import capacity_of

_TITLES: dict[Kind, str] = {
    "application": "Application to connect {}",
    "notification": "Notification of {} connected",
    "confirmation": "Confirmation of {} connected",
    "decommission": "Notice of {} taken out",
    "assessment": "Working sheet: {}, procedure not settled",
}


_ELSEWHERE = (
    "customer.name",
    "premises.address_lines",
    "premises.postcode",
    "premises.import_number",
    "installer.name",
    "installer.phone",
    "installer.email",
)
_HERE = ("case.area", "case.planned_on", "case.commissioned_on", "case.sending_on")


def title_of(case: Case) -> str:
    """Title of the pack, from its kind and its subject."""
    units = case.subjects or case.staying()
    stores = any(case.has_storage(unit) for unit in units)
    generates = any(unit.source != "storage" for unit in units)
    what = "generation and storage" if stores and generates else "generation"
    if stores and not generates:
        what = "storage"
    if case.kind == "application" and only_asks(case):
        return f"Question about connecting {what}"
    return _TITLES[case.kind].format(what)


def only_asks(case: Case) -> bool:
    """Whether the steps before the work only ask, with no application among them."""
    before = {step.what for step in case.decision.steps if step.when == "before-work"}
    return "ask" in before and "application" not in before


def front_blocks(sheet: Sheet, serves: str) -> list[Block]:
    """The request, the key figures, the case, and the list of sections."""
    paragraphs = [_asks(sheet), *_limits(sheet), _answer(sheet), *_open(sheet)]
    facts = sheet.facts("asked.case", "The case", (*_ELSEWHERE, *_HERE), elsewhere=_ELSEWHERE)
    sheet.enter("case.serves", "case", f"Form that the data serves: {serves}", "asked")
    return [
        Prose("asked", "", tuple(paragraphs)),
        _figures(sheet),
        facts,
        Contents("contents", "Sections"),
    ]


def _asks(sheet: Sheet) -> str:
    """The first sentence: the request or the report."""
    case = sheet.case
    gone = case.kind == "decommission"
    units = tuple(unit for unit in case.subjects if gone or is_counted(unit))
    total, per_phase = capacity_of(sheet, units)
    size = f" with a registered capacity of {quantity(total, 'W')} in all" if total else ""
    numbers = [unit.quantity if isinstance(unit.quantity, int) else 1 for unit in units]
    what = f"{counted(sum(numbers), 'generating unit')}{size}{_amps(per_phase)}"
    if case.kind == "application":
        if only_asks(case):
            return f"The network operator is asked how to go on with {what}."
        return f"Agreement is asked to connect {what}."
    if case.kind == "assessment":
        if case.procedure == UNDETERMINED and case.decision.possible:
            return (
                "The facts do not settle a procedure yet. This sheet is for work on the case and "
                "not for sending."
            )
        return (
            f"{case.decision.procedure.says} This sheet is for work on the case and not for "
            "sending."
        )
    if gone:
        verb = "is" if sum(numbers) == 1 else "are"
        return f"This tells the network operator that {what} {verb} taken out."
    day = _one_day(units)
    verb = "was" if sum(numbers) == 1 else "were"
    when = f"on {day}" if day else "on a date that is not known yet"
    done = "connected" if case.kind == "notification" else "connected as agreed"
    return f"This tells the network operator that {what} {verb} {done} {when}."


def _one_day(units: tuple[Unit, ...]) -> str:
    days = {unit.commissioned_on for unit in units}
    known = [day for day in days if isinstance(day, str) and not is_month(day)]
    if not known or len(known) != len(days):
        return ""
    return listed([when_words(day) for day in sorted(known)])


def _amps(per_phase: dict[str, int | None]) -> str:
    """The current on each phase that carries some, for a sentence."""
    said = [
        f"{quantity(ma, 'mA')} on {phase}"
        for phase, ma in per_phase.items()
        if ma is not None and ma
    ]
    return f" ({listed(said)})" if said else ""


def _limits(sheet: Sheet) -> list[str]:
    said = []
    for which in ("export", "import"):
        limit = sheet.case.limit(which)
        if limit is not None:
            stated = (
                limit_text(limit.value, limit.basis) if limit.value is not None else "not known"
            )
            said.append(f"A limitation scheme limits {which}; limit: {stated}.")
    return said


def _answer(sheet: Sheet) -> str:
    """Sentence on the procedure, and on any answer to wait for."""
    case = sheet.case
    title = case.decision.procedure.title
    waiting = any(step.wait and step.when == "before-work" for step in case.decision.steps)
    if case.kind == "application":
        wait = "An answer in writing is awaited before the work." if waiting else ""
        return f"Procedure: {title}. {wait}".strip()
    return f"Procedure: {title}."


def _open(sheet: Sheet) -> list[str]:
    """Count findings that stop or wait; missing items are added once all are known."""
    waiting = undecided(sheet.case)
    stops = sum(finding.severity == "stops" for finding in waiting)
    open_decisions = len(waiting) - stops
    said = []
    if stops:
        said.append(f"{counted(stops, 'finding')} {'stops' if stops == 1 else 'stop'} the case.")
    if open_decisions:
        verb = "waits" if open_decisions == 1 else "wait"
        said.append(f"{counted(open_decisions, 'finding')} {verb} for an engineer's decision.")
    return [" ".join(said)] if said else []


def _figures(sheet: Sheet) -> Table:
    """Capacity existing, asked for and together, per phase and in all."""
    case = sheet.case
    there = tuple(u for u in case.counted() if u.id not in case.subject)
    asked = tuple(u for u in case.counted() if u.id in case.subject)
    label = "Connected now" if case.after_the_work else "Proposed"
    phases = list(case.decision.per_phase_ma)
    rows = [_figure_row(sheet, "Existing" if not case.after_the_work else "Before", there)]
    rows.append(_figure_row(sheet, label, asked))
    rows.append(
        PrintedRow(
            (
                Cell(text="Together"),
                cells.whole(case.decision.total_w, 3),
                *(cells.whole(case.decision.per_phase_ma[phase], 3) for phase in phases),
            ),
            total=True,
        )
    )
    widths = shared_width([28, 24, *([16] * len(phases))])
    notes = []
    if gone := [unit.id for unit in case.site.units if status_of(unit) == "removed"]:
        notes.append(f"Taken out of use: {listed(gone)}.")
    return Table(
        id="asked.figures",
        title="Registered capacity",
        says=f"Amps at {fixed(case.nominal_mv // 1000, 0)} V phase to neutral, unity power factor.",
        columns=(
            Column("Units", widths[0]),
            Column("In all", widths[1], "kW", number=True),
            *(Column(p, w, "A", number=True) for p, w in zip(phases, widths[2:], strict=True)),
        ),
        rows=tuple(rows),
        notes=tuple(notes),
    )


def _figure_row(sheet: Sheet, label: str, units: tuple[Unit, ...]) -> PrintedRow:
    total, per_phase = capacity_of(sheet, units)
    return PrintedRow(
        (
            Cell(text=label),
            cells.whole(total, 3),
            *(cells.whole(ma, 3) for ma in per_phase.values()),
        )
    )

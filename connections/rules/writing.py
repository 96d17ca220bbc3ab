"""Write a decision for readers: the decision file with sentences, comparisons and digests."""

from fractions import Fraction

from msgspec import UNSET

from connections.electrical.phase_sums import (
    SCALE_PER_W,
    exact_milliamps,
    whole_milliamps,
    whole_watts,
)
from connections.facts.canonical import digest
from connections.facts.decision import (
    Comparison,
    Decision,
    Finding,
    NotBecause,
    PhaseSum,
    PhaseTerm,
    Procedure,
    Remedy,
    RulebookRef,
)
from connections.facts.defaults import supply_phases
from connections.facts.derivation import Derivation
from connections.rules.case import Case
from connections.rules.comparing.conditions import comparison
from connections.rules.decide import UNDETERMINED, Decided
from connections.rules.export import export_figure
from connections.rules.kinds import Found, Read


def write_decision(
    decided: Decided,
    *,
    explain: bool = False,
    remedies: tuple[Remedy, ...] = (),
    remedies_stopped: str = "",
) -> Decision:
    """Write the decision file; `explain` adds the trace and the derivation."""
    case = decided.case
    book = case.ready.book
    site = case.site
    known = case.capacity_known
    figure = export_figure(site, case.setting, case.sums)
    nominal_mv = case.ready.nominal_mv
    sums = tuple(_phase_sum(case, phase) for phase in supply_phases(site))
    return Decision(
        format="decision/1",
        reference=site.reference,
        on_date=site.on_date,
        area=book.area,
        rulebook=RulebookRef(
            book.key, book.edition, tuple(layer.key for layer in book.layers), book.digest
        ),
        procedure=_procedure(case),
        possible=case.possible.outcomes if case.outcome == UNDETERMINED else (case.outcome,),
        steps=decided.steps,
        modules=decided.modules,
        facility_w=whole_watts(case.sums.total[0]) if known else None,
        per_phase_ma={s.phase: s.ma for s in sums},
        per_phase_exact={s.phase: s.exact_ma for s in sums},
        phase_sums=sums,
        export_per_phase_ma={
            phase: whole_milliamps(amount, nominal_mv) if known else None
            for phase, amount in figure.phases.items()
        },
        export_w=whole_watts(figure.total) if known else None,
        total_w=whole_watts(case.sums.total[0]) if known else None,
        findings=tuple(_finding(found, case) for found in decided.findings),
        remedies=remedies,
        assumed=decided.assumed,
        unknown=case.possible.unknown,
        trace=_trace(case) if explain else (),
        remedies_stopped=remedies_stopped,
        derivation=_derivation(decided) if explain else UNSET,
    )


def _derivation(decided: Decided) -> Derivation:
    # Import on demand: few decisions are explained, and every page loads this module.
    from connections.rules.explaining.derivation import derivation

    return derivation(decided)


def _procedure(case: Case) -> Procedure:
    last = case.evaluation.row
    rows = case.ready.rows
    tested = rows if last is None else rows[:last]
    not_because = tuple(
        NotBecause(
            row.outcome,
            row.id,
            tuple(
                comparison(case, test)
                for test in row.tests
                if case.evaluation.results[test.slot] is False
            ),
        )
        for row in tested
        if any(case.evaluation.results[test.slot] is False for test in row.tests)
    )
    because: tuple[Comparison, ...] = ()
    if last is not None:
        because = tuple(comparison(case, test) for test in rows[last].tests)
    title, says = "Not yet determined", "Facts are missing that could change the procedure."
    if case.missing is not None:
        title = "Not determined: the rule is not held"
        says = (
            f"{case.missing.title}: this rulebook does not hold the rule; ask {case.missing.ask}."
        )
    for outcome in case.ready.book.outcomes:
        if outcome.key == case.outcome:
            title, says = outcome.title, outcome.says
    return Procedure(
        key=case.outcome,
        title=title,
        says=says,
        because=because,
        not_because=not_because,
        boundary=case.boundary,
        other_reading=case.other_reading,
    )


def _phase_sum(case: Case, phase: str) -> PhaseSum:
    terms = []
    open_term = False
    for line in case.lines:
        if phase not in line.unit.phases:
            continue
        quantity = line.quantity[0] if line.quantity[0] == line.quantity[1] else None
        rated = line.rated[0] if line.rated[0] == line.rated[1] else None
        open_term = open_term or quantity is None or rated is None
        status = "existing" if line.existing else "proposed"
        terms.append(PhaseTerm(line.unit.id, status, quantity, rated, line.phases))
    scaled = case.sums.phases[phase][0]
    nominal_mv = case.ready.nominal_mv
    if open_term:
        return PhaseSum(phase, tuple(terms), None, None, None)
    return PhaseSum(
        phase,
        tuple(terms),
        scaled * 6 // SCALE_PER_W,
        whole_milliamps(scaled, nominal_mv),
        exact_milliamps(scaled, nominal_mv),
    )


def _finding(found: Found, case: Case) -> Finding:
    values = case.ready.book.values
    keys = tuple(key for key in found.keys if key in values)
    sentence, workings = found.words()
    return Finding(
        id=found.id,
        subject=found.subject,
        severity=found.severity,
        values=found.values,
        margin=found.margin,
        margin_unit=found.margin_unit,
        sentence=sentence,
        workings=workings,
        keys=keys,
        sources=tuple(dict.fromkeys((*(str(values[key].source) for key in keys), *found.sources))),
        facts=tuple(path for path, _ in found.read),
        basis=basis_of((*found.read, *found.against)),
        ways=found.kind.ways if found.severity == "decide" else (),
        agreement=found.kind.agreement,
    )


def basis_of(read: tuple[Read, ...]) -> str:
    """The digest of the facts that a finding read, without left-out keys."""
    return digest({path: _plain(value) for path, value in read if value is not UNSET})


def _plain(value: object) -> object:
    return str(value) if isinstance(value, Fraction) else value


def _trace(case: Case) -> tuple[Comparison, ...]:
    last = case.evaluation.row
    rows = case.ready.rows if last is None else case.ready.rows[: last + 1]
    # Two equal values may stand in two comparisons; list the same comparison only once.
    tests = {(test.slot, test.condition.against): test for row in rows for test in row.tests}
    return tuple(comparison(case, test) for test in tests.values())

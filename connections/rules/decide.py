"""Decide a site: facts and a rulebook in, everything that the rules find out.

`decide` is pure. It works out values and tests conditions; readers make the sentences
(`connections.rules.writing`).
"""

from msgspec import UNSET, Struct, structs

from connections.facts.decision import Module, Step
from connections.facts.site import Limits, Nearby, Site
from connections.rulebook.book import Rulebook
from connections.rules.case import Case
from connections.rules.checks.basis.working import Ground
from connections.rules.checks.demand import notice_of
from connections.rules.completions import (
    Evaluation,
    Possible,
    evaluate,
    possible_outcomes,
)
from connections.rules.deciding_facts import (
    Setting,
    deciding_facts,
    setting_of,
    sums_of,
)
from connections.rules.findings import (
    absent,
    balance,
    capacity,
    clamps,
    limiting,
    local,
    odd,
    parts,
    planning,
    plug_in,
    standing,
    supply,
    testing,
)
from connections.rules.findings.certainty import uncertain_values
from connections.rules.kinds import Found
from connections.rules.modules import modules_of
from connections.rules.plant import Line, Open, counted_plant
from connections.rules.resting import eased
from connections.rules.steps import following, step_keys, with_notes
from connections.rules.table import FactValue, Ready, ReadyStep, holds, let_in, ready

UNDETERMINED = "undetermined"
QUESTIONS = (
    *capacity.QUESTIONS,
    *parts.QUESTIONS,
    *limiting.QUESTIONS,
    *clamps.QUESTIONS,
    *standing.QUESTIONS,
    *local.QUESTIONS,
    *balance.QUESTIONS,
    *testing.QUESTIONS,
    *plug_in.QUESTIONS,
    *supply.QUESTIONS,
    *planning.QUESTIONS,
    *odd.QUESTIONS,
    *absent.QUESTIONS,
)
SEVERITY = {"stops": 0, "decide": 1, "inform": 2}
"""The order of telling findings."""
_DEFAULTED = {
    "largest_design": "design_w",
    "islanding": "can_island",
    "every_unit_inverter": "kind",
}


class Decided(Struct, frozen=True):
    """What was decided, before it is put into words.

    Modules and assumed defaults follow from the case and decide nothing, so that they are worked
    out where they are read.
    """

    case: Case
    findings: tuple[Found, ...]
    followed: tuple[ReadyStep, ...]
    """The steps of the rulebook that follow."""

    @property
    def steps(self) -> tuple[Step, ...]:
        """What to send, when, and whether to wait."""
        return with_notes(tuple(each.step for each in self.followed), self.case.site)

    @property
    def modules(self) -> tuple[Module, ...]:
        """The power generating modules."""
        return modules_of(self.case.lines, self.case.ready)

    @property
    def assumed(self) -> tuple[str, ...]:
        """Paths of the defaults that the outcome rests on."""
        return _assumed(self.case)

    @property
    def procedure(self) -> str:
        """The key of the procedure, or "undetermined"."""
        return self.case.outcome

    @property
    def stops(self) -> frozenset[tuple[str, str]]:
        """Findings that stop the site, as (id, subject)."""
        return frozenset((f.id, f.subject) for f in self.findings if f.severity == "stops")


def decide(site: Site, book: Rulebook) -> Decided:
    """Decide a site under a rulebook.

    Raises KeyError naming the value if the rulebook lacks one that the rules need.
    """
    prepared = ready(book)
    case = _case(site, prepared, prepared.asked)
    findings = eased(case, [found for question in QUESTIONS for found in question(case)])
    followed = following(prepared, case.outcome, case.facts)
    findings.extend(uncertain_values(case, findings, step_keys(followed)))
    findings.sort(key=lambda found: SEVERITY[found.severity])
    return Decided(case, tuple(findings), followed)


def outcome_of(site: Site, book: Rulebook) -> str:
    """Only the key of the procedure, for searches over many variants of a site."""
    prepared = ready(book)
    return _case(site, prepared, prepared.asked_by_rows).outcome


def _case(site: Site, prepared: Ready, asked: frozenset[str]) -> Case:
    lines, open_facts = counted_plant(site, prepared)
    setting = setting_of(site, lines, prepared)
    if "demand_notice" in asked:
        notice = notice_of(Ground(site, prepared, lines))
        setting = structs.replace(setting, demand_notice=notice)
    sums = sums_of(lines)
    facts = deciding_facts(lines, setting, prepared, sums)
    evaluation = evaluate(prepared, facts)
    possible = Possible((), (), True)
    if evaluation.row is not None and evaluation.settled:
        outcome = prepared.rows[evaluation.row].outcome
        possible = Possible((outcome,), (), True)
    elif evaluation.row is not None:
        possible = possible_outcomes(prepared, setting, lines, open_facts)
        outcome = UNDETERMINED
        if len(possible.outcomes) == 1:
            outcome = possible.outcomes[0]
            evaluation = _row_of(prepared, facts, outcome, evaluation)
    else:
        outcome = UNDETERMINED
    missing = prepared.missing.get(outcome)
    if missing is not None:
        outcome, possible = UNDETERMINED, Possible((), (), True)
    boundary, other = _other_reading(prepared, facts, outcome, setting)
    return Case(
        site=site,
        ready=prepared,
        lines=lines,
        open_facts=open_facts,
        setting=setting,
        sums=sums,
        facts=facts,
        evaluation=evaluation,
        possible=possible,
        outcome=outcome,
        boundary=boundary,
        other_reading=other,
        capacity_known=_capacity_known(lines),
        missing=missing,
    )


def _capacity_known(lines: list[Line]) -> bool:
    return all(
        line.rated[0] == line.rated[1] and line.quantity[0] == line.quantity[1] for line in lines
    )


def _row_of(
    prepared: Ready, facts: dict[str, FactValue], outcome: str, evaluation: Evaluation
) -> Evaluation:
    """The evaluation of the row that gives the outcome of every completion, with its tests."""
    results = list(evaluation.results)
    for i, row in enumerate(prepared.rows):
        for test in row.tests:
            results[test.slot] = holds(test, facts[test.fact])
        if row.outcome == outcome and all(results[test.slot] is not False for test in row.tests):
            return Evaluation(i, True, results)
    return evaluation


def _other_reading(
    prepared: Ready, facts: dict[str, FactValue], outcome: str, setting: Setting
) -> tuple[bool, str | None]:
    """Whether the site is at an ambiguous limit, and the outcome of the other reading."""
    if outcome == UNDETERMINED:
        return False, None
    at_limit = frozenset(test.slot for test in prepared.ambiguous if let_in(test, facts[test.fact]))
    if at_limit:
        # Also tell of a row that an open fact leaves open: it may hold by the other reading.
        other = evaluate(prepared, facts, at_limit)
        if other.row is not None:
            reading = prepared.rows[other.row].outcome
            if reading != outcome:
                return True, reading
    silent = prepared.book.values.get("neighbours.silent")
    if (
        silent is not None
        and setting.nearby
        and outcome in prepared.book.words("neighbours.silent")
    ):
        return True, None
    return False, None


def _assumed(case: Case) -> tuple[str, ...]:
    """Paths of defaults behind the outcome.

    A default matters if a condition of the chosen row, a failed condition of an earlier row or a
    condition of a step reads it. The number of units on a line, and that they are counted (neither
    removed nor switched-only), always matter.
    """
    prepared, site = case.ready, case.site
    last = case.evaluation.row
    mattered: set[str] = set()
    for i, row in enumerate(prepared.rows[: None if last is None else last + 1]):
        for test in row.tests:
            if i == last or case.evaluation.results[test.slot] is False:
                mattered.add(test.fact)
    for each in prepared.steps.get(case.outcome, ()):
        mattered.update(test.fact for test in each.tests)
    fields = [
        "status",
        "quantity",
        "operating_mode",
        *(name for fact, name in _DEFAULTED.items() if fact in mattered),
    ]
    if {"largest_module", "untested_inverter"} & mattered and "kind" not in fields:
        fields.append("kind")
    found = [
        f"units[{line.index}].{name}"
        for line in case.lines
        for name in fields
        if getattr(line.unit, name) is UNSET
    ]
    found += _defaults_of_findings(case)
    if "voltage_level" in mattered and site.supply.voltage_level is UNSET:
        found.append("supply.voltage_level")
    if "export_limit" in mattered or "limitation_scheme" in mattered:
        limits = site.limits
        if limits is UNSET or (isinstance(limits, Limits) and limits.export is UNSET):
            found.append("limits.export")
    if "nearby_premises" in mattered:
        nearby = site.nearby
        if nearby is UNSET or (isinstance(nearby, Nearby) and nearby.premises is UNSET):
            found.append("nearby.premises")
    return tuple(dict.fromkeys(found))


def _defaults_of_findings(case: Case) -> list[str]:
    """`limited_by` matters only if a design capacity is above the registered one."""
    return [
        f"units[{line.index}].limited_by"
        for line in case.lines
        if line.design is not None
        and line.design[0] > line.rated[1]
        and line.unit.limited_by is UNSET
    ]


__all__ = ["UNDETERMINED", "Decided", "Open", "decide", "outcome_of"]

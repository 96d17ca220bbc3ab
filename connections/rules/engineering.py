"""What the engineer signs: every electrical check of a site, and what follows for its decision.

`decide` does not compute these: they use floats, and a list of thousands of sites does without.
"""

from msgspec import structs

from connections.rules.case import Case
from connections.rules.checks import (
    balance,
    cables,
    circuit,
    dc,
    demand,
    fault,
    quality,
    schedule,
    service,
    voltage,
)
from connections.rules.checks.basis.runs import Runs
from connections.rules.checks.basis.types import Check
from connections.rules.checks.basis.working import Ground
from connections.rules.decide import SEVERITY, Decided
from connections.rules.findings.certainty import (
    UNCERTAIN_VALUE,
    UNCERTAIN_VALUES,
    uncertain_values,
)
from connections.rules.findings.checks import findings_of
from connections.rules.steps import step_keys

_ON_VALUES = (UNCERTAIN_VALUES, UNCERTAIN_VALUE)


def checks_of(decided: Decided) -> tuple[Check, ...]:
    """Every check of a decided site, group by group. Pure, and never raises for odd facts."""
    return _checks(decided.case)


def with_checks(decided: Decided) -> Decided:
    """The same decision with what the checks found added to its findings.

    How many of the values used are unsure is counted anew, over both.
    """
    case = decided.case
    findings = [found for found in decided.findings if found.kind not in _ON_VALUES]
    findings += findings_of(case, _checks(case))
    findings += uncertain_values(case, findings, step_keys(decided.followed))
    findings.sort(key=lambda found: SEVERITY[found.severity])
    return structs.replace(decided, findings=tuple(findings))


def _checks(case: Case) -> tuple[Check, ...]:
    ground = Ground(case)
    runs = Runs(ground)
    return (
        *voltage.checks(ground, runs),
        *circuit.checks(ground, runs),
        *cables.checks(ground, runs),
        *demand.checks(ground),
        *balance.checks(ground, runs),
        *fault.checks(ground, runs),
        *service.checks(ground),
        *quality.checks(ground, runs),
        *schedule.checks(ground),
        *dc.checks(ground, runs),
    )

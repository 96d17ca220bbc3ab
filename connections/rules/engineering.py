"""The part that an engineer signs: electrical checks of a site, and their effect on its decision.

`decide` leaves them out: they use floats, and long lists of sites do without them.
"""

from msgspec import structs

from connections.rules.case import Case
from connections.rules.checks import (
    balance,
    cables,
    circuit,
    clearing,
    dc,
    demand,
    fault,
    quality,
    schedule,
    service,
    strings,
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
    """Every check of a decided site, group by group. Pure; odd facts never raise."""
    return _checks(decided.case)


def with_checks(decided: Decided) -> Decided:
    """Add the findings of the checks to a decision.

    Counts the uncertain values anew, over rules and checks.
    """
    case = decided.case
    findings = [found for found in decided.findings if found.kind not in _ON_VALUES]
    findings += findings_of(case, _checks(case))
    findings += uncertain_values(case, findings, step_keys(decided.followed))
    findings.sort(key=lambda found: SEVERITY[found.severity])
    return structs.replace(decided, findings=tuple(findings))


def _checks(case: Case) -> tuple[Check, ...]:
    ground = Ground(case.site, case.ready, case.lines)
    runs = Runs(ground)
    return (
        *voltage.checks(ground, runs),
        *circuit.checks(ground, runs),
        *cables.checks(ground, runs),
        *demand.checks(ground),
        *balance.checks(ground, runs),
        *fault.checks(ground, runs),
        *(each for output in runs.outputs for each in clearing.disconnection(ground, runs, output)),
        *service.checks(ground),
        *quality.checks(ground, runs),
        *schedule.checks(ground),
        *dc.checks(ground, runs),
        *strings.checks(ground, runs),
    )

"""Remedy: an import limit at the cut-out, where all demand together is above it.

It holds what can be turned down; what nobody controls it can't.
"""

from collections.abc import Iterator

from connections.facts.defaults import rating, supply_phases
from connections.remedies.edit import Edit
from connections.remedies.option import Option, Start
from connections.remedies.proof import Proof
from connections.rules.decide import Decided
from connections.rules.figures import amps

IMPORTING = "check-import-limit"
"""The finding that it clears."""


def import_limits(start: Start) -> Iterator[Option]:
    """An import limit of the cut-out's rating, where it answers the demand of every phase."""
    cutout = rating(start.site.supply.cutout_a)
    if cutout is None or not _too_much(start.before):
        return
    edit = Edit(start.site)
    edit.import_limit(cutout * 1000, "ma_per_phase")
    after = start.rules.decide(edit.site)
    if _too_much(after) or after.stops - start.before.stops:
        return
    each = " a phase" if len(supply_phases(start.site)) > 1 else ""
    yield Option(
        kind="import-limit",
        what=f"a fully type-tested limitation scheme holding import to {amps(cutout * 1000)}{each}",
        name=f"Import limit {amps(cutout * 1000)}{each}",
        change=edit.changes,
        proof=Proof(after, (IMPORTING,), False),
        notes=(
            "Charging and other loads that can be turned down wait while the rest needs the fuse.",
        ),
    )


def _too_much(decided: Decided) -> bool:
    # Imported here: the formulas take a third of the time to load.
    from connections.rules.checks.basis.working import Ground
    from connections.rules.checks.demand import IMPORT, checks

    case = decided.case
    ground = Ground(case.site, case.ready, case.lines)
    return any(check.kind is IMPORT and check.failed for check in checks(ground))

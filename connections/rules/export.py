"""The export figure: the most that a site can export at once, after a scheme that counts.

A limit never lowers the aggregate; it only sets this figure. A scheme that is not fully type tested
does not count here either.
"""

from msgspec import Struct

from connections.electrical.phase_sums import SCALE_PER_W
from connections.facts.defaults import supply_phases
from connections.facts.site import Site
from connections.rules.deciding_facts import NO_LIMIT, Setting, Sums, counts, limit_of


class ExportFigure(Struct, frozen=True):
    """Largest export per phase and in total [scaled units, see electrical.phase_sums]."""

    phases: dict[str, int]
    total: int


def export_figure(site: Site, setting: Setting, sums: Sums) -> ExportFigure:
    """The export figure of the counted plant; an open capacity counts at its low end."""
    there = supply_phases(site)
    phases = {phase: min(sums.phases[phase][0], setting.export_limit) for phase in there}
    total = min(sums.total[0], sum(phases.values()))
    limit = limit_of(site, "export")
    if (
        setting.export_limit < NO_LIMIT
        and limit is not None
        and counts(limit)
        and limit.value is not None
        and limit.basis != "ma_per_phase"
    ):
        total = min(total, limit.value * SCALE_PER_W)
    return ExportFigure(phases, total)

"""Work of a sweep: a design's year under one export limit after another.

`asked` is a connections.energy.limits_asked.LimitsAsked. `results` is a list of
connections.energy.result.AtLimit, in order.
"""

from time import monotonic

from msgspec import convert, to_builtins

from connections.energy.limits_asked import LimitsAsked, limits_of
from sites.energy.reading.limit_sweeps import found_of
from sites.energy.writing.energy_faults import noting_energy_faults
from sites.house import storage
from sites.house.models import Work
from sites.house.writing.working_out import WorkKind, finish, keep

KEEP_EVERY_S = 0.5
"""Interval of storing results: short enough to watch, and long enough to cost almost nothing."""


def work_out_limits(work: Work) -> bool:
    """Continue the sweep; return whether it is complete."""
    whole = False
    with noting_energy_faults(work):
        whole = _go_on(work)
    return whole


def _go_on(work: Work) -> bool:
    found = list(found_of(work) or ())
    kept_at = monotonic()
    for each in limits_of(convert(work.asked, LimitsAsked), storage.stored, after=len(found)):
        found.append(each)
        if monotonic() - kept_at >= KEEP_EVERY_S:
            if not keep(work, to_builtins(found)):
                return False
            kept_at = monotonic()
    return finish(work, to_builtins(found))


KIND = WorkKind(work_out_limits)

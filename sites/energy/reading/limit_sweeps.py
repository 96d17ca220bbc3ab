"""State and results of a design's sweep: its year under one export limit after another."""

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from msgspec import ValidationError, convert

from connections.energy.asked import YearAsked
from connections.energy.from_site import export_cap_w
from connections.energy.limits_asked import FEWEST, LimitsAsked, same_year
from connections.energy.result import AtLimit
from connections.facts.defaults import supply_phases
from sites.deciding.reading.deciding import decide_rows
from sites.energy.reading.years import latest_inputs, year_state
from sites.house.models import Work
from sites.house.models.work import LIMITS
from sites.premises.models import Design
from sites.premises.reading.site_rows import rows_for

Kind = Literal["no-inputs", "needs", "not-asked", "changed", "waiting", "stopped", "failed", "done"]


@dataclass(frozen=True)
class SweepState:
    """The state of a design's sweep.

    `year` is the year it would be based on now; None if facts are missing, which `says` then names.
    `asked` is the last request. `found` holds the results for exactly this request, in the order
    tried. `phases` is the number of phases of the supply, 0 if not known. `cap_w` is the operator's
    cap on export [W], None for none.
    """

    kind: Kind
    says: tuple[str, ...]
    year: YearAsked | None = None
    asked: LimitsAsked | None = None
    found: tuple[AtLimit, ...] = ()
    since: dt.datetime | None = None
    phases: int = 0
    cap_w: float | None = None

    @property
    def waits(self) -> bool:
        """Whether the worker still has to continue it."""
        return self.kind == "waiting"

    @property
    def of(self) -> int:
        """The number of limits to try in all."""
        return len(self.asked.tried_w) if self.asked is not None else 0


def sweep_state(design: Design) -> SweepState:
    """Return the state of a design's sweep."""
    decided = decide_rows(rows_for(design.premises, design))
    now = year_state(decided.site, decided.fault, latest_inputs(design.premises), None)
    row = sweep_row(design)
    asked = asked_of(row)
    if now.asked is None:
        if now.kind == "no-inputs":
            return SweepState("no-inputs", (_NO_INPUTS,), None, asked)
        return SweepState("needs", now.says, None, asked)
    site = decided.site
    phases = len(supply_phases(site)) if site is not None else 0
    cap_w = export_cap_w(site) if site is not None else None
    if row is None:
        return SweepState("not-asked", (), now.asked, phases=phases, cap_w=cap_w)
    found = found_of(row)
    if asked is None or found is None or not same_year(asked, now.asked):
        return SweepState("changed", (_CHANGED,), now.asked, asked, phases=phases, cap_w=cap_w)
    kind, says = _how(row)
    return SweepState(kind, says, now.asked, asked, found, row.asked_at, phases, cap_w)


def _how(row: Work) -> tuple[Kind, tuple[str, ...]]:
    if row.stopped_at is not None:
        return "stopped", ()
    if row.done_at is None:
        return "waiting", ()
    if row.fault:
        return "failed", (row.fault,)
    return "done", ()


_NO_INPUTS = "Needs what the energy year rests on: the region, and the use of the house."
_CHANGED = (
    "What was worked out is not for this: the design, or what the year rests on, has changed since."
)


def sweep_row(design: Design) -> Work | None:
    """Return the last sweep of a design; one query."""
    return Work.objects.filter(kind=LIMITS, design=design).select_related("asked_by").first()


def asked_of(row: Work | None) -> LimitsAsked | None:
    """Return the request; None for none, or for one that an earlier program stored differently."""
    if row is None:
        return None
    try:
        asked = convert(row.asked, LimitsAsked)
    except ValidationError:
        return None
    return asked if len(asked.limits_w) >= FEWEST else None


def found_of(row: Work) -> tuple[AtLimit, ...] | None:
    """Return the results so far; None if an earlier program stored them differently."""
    try:
        return convert(row.results, tuple[AtLimit, ...])
    except ValidationError:
        return None

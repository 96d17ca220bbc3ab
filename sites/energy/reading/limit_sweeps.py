"""What each export limit would cost a design in a year: how far that is, and what was found."""

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
    """How the sweep of a design stands.

    `year` is what it would rest on now, None where that is not all known, and then `says` tells
    what is missing; `asked` is what was last asked; `found` what is worked out for exactly this,
    in the order in which it was tried. `phases` is how many the supply has, 0 where not known, and
    `cap_w` the operator's cap on export [W], None for none.
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
        """Whether the worker is to go on with it."""
        return self.kind == "waiting"

    @property
    def of(self) -> int:
        """How many limits are tried in all."""
        return len(self.asked.tried_w) if self.asked is not None else 0


def sweep_state(design: Design) -> SweepState:
    """How the sweep of a design stands."""
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
    """The sweep that was last asked for a design; one query."""
    return Work.objects.filter(kind=LIMITS, design=design).select_related("asked_by").first()


def asked_of(row: Work | None) -> LimitsAsked | None:
    """What was asked; None for nothing, or for what an earlier program kept in another form."""
    if row is None:
        return None
    try:
        asked = convert(row.asked, LimitsAsked)
    except ValidationError:
        return None
    return asked if len(asked.limits_w) >= FEWEST else None


def found_of(row: Work) -> tuple[AtLimit, ...] | None:
    """What is worked out so far; None for what an earlier program kept in another form."""
    try:
        return convert(row.results, tuple[AtLimit, ...])
    except ValidationError:
        return None

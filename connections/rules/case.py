"""One site under decision: the facts, the rulebook and the results so far."""

from msgspec import Struct

from connections.facts.defaults import nearby_premises
from connections.facts.site import Site
from connections.rulebook.book import Outcome
from connections.rules.completions import Evaluation, Possible
from connections.rules.deciding_facts import Setting, Sums, limit_of
from connections.rules.kinds import Read
from connections.rules.plant import Line, Open
from connections.rules.table import FactValue, Ready


class Case(Struct, frozen=True):
    """The data that every question about a site may read."""

    site: Site
    ready: Ready
    lines: list[Line]
    open_facts: list[Open]
    setting: Setting
    sums: Sums
    facts: dict[str, FactValue]
    evaluation: Evaluation
    possible: Possible
    outcome: str
    boundary: bool
    other_reading: str | None
    capacity_known: bool
    missing: Outcome | None = None
    """The rule that the rulebook lacks, if that makes the site undetermined."""


def read_units(case: Case, *names: str) -> tuple[Read, ...]:
    """Read the named fields of every counted unit."""
    return tuple(
        (f"units[{line.index}].{name}", getattr(line.unit, name))
        for line in case.lines
        for name in names
    )


_OUTCOME_OF_UNIT = (
    "status",
    "kind",
    "quantity",
    "rated_w",
    "rated_va",
    "design_w",
    "phases",
    "standards",
    "commissioned_on",
    "can_island",
    "operating_mode",
)
_OUTCOME_OF_LIMIT = ("value", "basis", "type_tested", "nets_phases")


def read_outcome(case: Case, *more: str) -> tuple[Read, ...]:
    """Read every fact that the choice of procedure reads, and more fields of every counted unit.

    For findings about the procedure: an engineer's decision on one counts only while these facts
    stay the same.
    """
    site = case.site
    limit = limit_of(site, "export")
    return (
        *read_units(case, *_OUTCOME_OF_UNIT, *more),
        *(
            (f"limits.export.{name}", getattr(limit, name))
            for name in _OUTCOME_OF_LIMIT
            if limit is not None
        ),
        ("supply.phases", site.supply.phases),
        ("supply.voltage_level", site.supply.voltage_level),
        ("nearby.premises", nearby_premises(site)),
    )


def title_of(case: Case, outcome: str) -> str:
    """The title of an outcome, for readers."""
    return next(o.title for o in case.ready.book.outcomes if o.key == outcome)

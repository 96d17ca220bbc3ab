"""Tell which rules a rulebook lacks that would apply to the site.

Rulebooks of other nations hold less than that of Great Britain. A question whose value is missing
stays silent; this module says once for the whole site which questions were not asked.
"""

from collections.abc import Callable, Iterator

from msgspec import Struct

from connections.rules.case import Case
from connections.rules.figures import listed
from connections.rules.kinds import Found, Kind


class Rule(Struct, frozen=True):
    """A value that a question needs, its subject in words, and the sites that it concerns."""

    key: str
    words: str
    applies: Callable[[Case], bool]


def _single_units_on_three(case: Case) -> bool:
    return case.site.supply.phases == 3 and any(line.phases == 1 for line in case.lines)


def _several(case: Case) -> bool:
    return case.setting.nearby != 0


def _supply_of(phases: int) -> Callable[[Case], bool]:
    return lambda case: case.site.supply.phases == phases


def _older(case: Case) -> bool:
    return any(line.existing for line in case.lines)


RULES = (
    Rule("balance.limit", "how far the phases may be apart", _single_units_on_three),
    Rule(
        "supply.single_cap", "the largest aggregate that a single-phase supply carries",
        _supply_of(1),
    ),
    Rule("supply.split_cap", "the largest aggregate that a split supply carries", _supply_of(2)),
    Rule("supply.phase_cap", "the largest share of one phase", _supply_of(3)),
    Rule("nearby.distance", "which premises of one firm count as near by", _several),
    Rule("earlier.before", "plant of earlier standards", _older),
)  # fmt: skip


RULES_NOT_HELD = Kind(
    "rules-not-held",
    "inform",
    "Does the rulebook hold nothing on something that would be looked at here?",
    lambda v: (
        f"This rulebook holds nothing on {listed(v['rules'])}; that is not looked at here.",
        "A rule that is not held is neither met nor broken; ask the network operator.",
    ),
)


def rules_not_held(case: Case) -> Iterator[Found]:
    """Rules that were not applied because the rulebook lacks them."""
    values = case.ready.book.values
    absent = [rule for rule in RULES if rule.key not in values and rule.applies(case)]
    if absent:
        yield RULES_NOT_HELD.found(
            "rulebook",
            {"rules": [rule.words for rule in absent]},
            read=(
                ("supply.phases", case.site.supply.phases),
                *(
                    (f"units[{line.index}].{name}", getattr(line.unit, name))
                    for line in case.lines
                    for name in ("phases", "status")
                ),
            ),
        )


QUESTIONS = (rules_not_held,)

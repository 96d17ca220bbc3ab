"""What to send, when, in which form, and whether to wait: read from the rulebook's steps."""

from msgspec import structs

from connections.facts.decision import Step
from connections.facts.defaults import phases_now
from connections.facts.site import Site
from connections.rules.table import FactValue, Ready, holds


def steps_of(ready: Ready, outcome: str, facts: dict[str, FactValue]) -> tuple[Step, ...]:
    """The steps that follow an outcome, in the rulebook's order.

    A step whose condition can't be told yet is kept: it may be needed.
    """
    return tuple(
        step
        for rule, tests, step in ready.steps
        if outcome in rule.outcomes
        and all(holds(test, facts[test.fact]) is not False for test in tests)
    )


SUPPLY_FIRST = (
    "Before the work the network operator is asked for the new supply; what it costs and how long "
    "it takes is the operator's to say."
)


def supply_asked_first(steps: tuple[Step, ...], site: Site) -> tuple[Step, ...]:
    """The steps, the first of which says that another supply is asked for, where one is proposed.

    It is no step of its own: a rulebook has no form and no period for it.
    """
    if not steps or phases_now(site) is None:
        return steps
    first, *rest = steps
    return (structs.replace(first, notes=(*first.notes, SUPPLY_FIRST)), *rest)

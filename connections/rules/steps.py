"""What to send, when, in which form, and whether to wait: read from the rulebook's steps."""

from connections.facts.decision import Step
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

"""Rows of the decision table that a yes-no value of the rulebook switches on and off.

A row with a `switch` takes part only where that value is yes. Where it is no, or is not held, the
row is left out when the rulebook is resolved, and with it the outcomes and steps that only such
rows lead to: what is switched off is data of the edition and no part of what holds.
"""

from collections.abc import Callable, Iterable

from connections.rulebook.book import Amount, Outcome, Row, StepRule


def live_rows(rows: Iterable[Row], amount: Callable[[str], Amount | None]) -> tuple[Row, ...]:
    """The rows that take part; `amount` gives the amount of a key, None where it is not held."""
    return tuple(row for row in rows if not row.switch or amount(row.switch) is True)


def switched_off(rows: Iterable[Row], live: Iterable[Row]) -> frozenset[str]:
    """Keys of the outcomes that have rows, none of which takes part."""
    return frozenset(row.outcome for row in rows) - frozenset(row.outcome for row in live)


def live_outcomes(outcomes: Iterable[Outcome], off: frozenset[str]) -> tuple[Outcome, ...]:
    """The outcomes that some row can give, in their order; one without any row stays."""
    return tuple(outcome for outcome in outcomes if outcome.key not in off)


def live_steps(steps: Iterable[StepRule], off: frozenset[str]) -> tuple[StepRule, ...]:
    """The steps that follow an outcome that is not switched off."""
    return tuple(step for step in steps if not off.issuperset(step.outcomes))

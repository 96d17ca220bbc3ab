"""Switch rows of the decision table on and off by a yes-no value of the rulebook.

A row with a `switch` takes part only if that value is yes. If it is no, or not held, resolving
drops the row, and with it the outcomes and steps that only such rows lead to. A switched-off row is
data of the edition, but not part of the rulebook.
"""

from collections.abc import Callable, Iterable

from msgspec import structs

from connections.rulebook.book import Amount, Outcome, StepRule, TableRow


def live_rows(
    rows: Iterable[TableRow], amount: Callable[[str], Amount | None]
) -> tuple[TableRow, ...]:
    """The rows that take part; `amount` gives the amount of a key, None if not held."""
    return tuple(row for row in rows if not row.switch or amount(row.switch) is True)


def switched_off(rows: Iterable[TableRow], live: Iterable[TableRow]) -> frozenset[str]:
    """Keys of the outcomes that have rows, none of which takes part."""
    return frozenset(row.outcome for row in rows) - frozenset(row.outcome for row in live)


def live_outcomes(outcomes: Iterable[Outcome], off: frozenset[str]) -> tuple[Outcome, ...]:
    """The outcomes that are not switched off, in their order; one without any row stays."""
    return tuple(outcome for outcome in outcomes if outcome.key not in off)


def live_steps(steps: Iterable[StepRule], off: frozenset[str]) -> tuple[StepRule, ...]:
    """The steps that follow some outcome that is not switched off, without those that are."""
    left = ((step, tuple(key for key in step.outcomes if key not in off)) for step in steps)
    return tuple(structs.replace(step, outcomes=outcomes) for step, outcomes in left if outcomes)

"""What to send, when, in which form, and whether to wait: read from the rulebook's steps."""

from connections.facts.decision import Period, Step
from connections.rulebook.book import Rulebook, StepRule
from connections.rules.table import FactValue, Ready, holds


def steps_of(ready: Ready, outcome: str, facts: dict[str, FactValue]) -> tuple[Step, ...]:
    """The steps that follow an outcome, in the rulebook's order.

    A step whose condition can't be told yet is kept: it may be needed.
    """
    return tuple(
        _step(rule, ready.book)
        for rule, tests in zip(ready.book.steps, ready.steps, strict=True)
        if outcome in rule.outcomes
        and all(holds(test, facts[test.fact]) is not False for test in tests)
    )


def _step(rule: StepRule, book: Rulebook) -> Step:
    limit = None
    if rule.limit:
        value = book.values[rule.limit]
        limit = Period(book.whole(rule.limit), value.unit, rule.limit_from)
    sources = [str(rule.source)]
    if rule.limit:
        sources.append(str(book.values[rule.limit].source))
    return Step(
        when=rule.when,
        what=rule.what,
        form=book.text(rule.form) if rule.form else "",
        wait=rule.wait,
        limit=limit,
        attachments=rule.attachments,
        sources=tuple(dict.fromkeys(sources)),
        certainty=rule.certainty,
        says=rule.says,
    )

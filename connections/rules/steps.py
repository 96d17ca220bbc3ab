"""The steps of an outcome from the rulebook: what to send, when, the form, whether to wait."""

from msgspec import structs

from connections.facts.decision import Step
from connections.facts.defaults import phases_now
from connections.facts.site import Site
from connections.rules.table import FactValue, Ready, ReadyStep, holds


def following(ready: Ready, outcome: str, facts: dict[str, FactValue]) -> tuple[ReadyStep, ...]:
    """The steps that follow an outcome, in the rulebook's order; none where it is undetermined.

    A step whose condition can't be told yet is kept: it may be needed.
    """
    found = []
    for each in ready.steps.get(outcome, ()):
        for test in each.tests:
            if holds(test, facts[test.fact]) is False:
                break
        else:
            found.append(each)
    return tuple(found)


def step_keys(followed: tuple[ReadyStep, ...]) -> list[str]:
    """Keys of the forms and periods that these steps name."""
    return [key for each in followed for key in each.keys]


SUPPLY_FIRST = (
    "Before the work the network operator is asked for the new supply; what it costs and how long "
    "it takes is the operator's to say."
)


def supply_asked_first(steps: tuple[Step, ...], site: Site) -> tuple[Step, ...]:
    """If another supply is proposed, say in the first step that it is asked for first.

    It is not a separate step: a rulebook has no form and no period for it.
    """
    if not steps or phases_now(site) is None:
        return steps
    first, *rest = steps
    return (structs.replace(first, notes=(*first.notes, SUPPLY_FIRST)), *rest)

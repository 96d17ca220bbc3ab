"""The steps of an outcome from the rulebook: what to send, when, the form, whether to wait."""

from msgspec import structs

from connections.facts.decision import Step
from connections.facts.defaults import is_taken_out, phases_now
from connections.facts.site import Site
from connections.rules.figures import listed
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


SUPPLY_FIRST = (
    "Before the work the network operator is asked for the new supply; what it costs and how long "
    "it takes is the operator's to say."
)
TAKEN_OUT = "It also says which plant is taken out: {}."
_TELLS = ("application", "notification")


def with_notes(steps: tuple[Step, ...], site: Site) -> tuple[Step, ...]:
    """The steps with what else they say about this site.

    If another supply is proposed, the first step says that it is asked for first: a rulebook has no
    form and no period for it. If plant goes, the first application or notification says so too.
    """
    gone = [unit.id for unit in site.units if is_taken_out(unit)]
    if gone:
        told = next((n for n, step in enumerate(steps) if step.what in _TELLS), None)
        steps = _noted(steps, told, TAKEN_OUT.format(listed(sorted(gone))))
    return _noted(steps, 0, SUPPLY_FIRST) if phases_now(site) is not None else steps


def _noted(steps: tuple[Step, ...], at: int | None, note: str) -> tuple[Step, ...]:
    return tuple(
        structs.replace(step, notes=(*step.notes, note)) if n == at else step
        for n, step in enumerate(steps)
    )

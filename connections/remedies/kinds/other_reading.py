"""Remedy: ask the operator where the text has two readings and the other one helps."""

from collections.abc import Iterator

from connections.remedies.edit import Edit
from connections.remedies.option import Option, Start
from connections.remedies.proof import Proof
from connections.rules.case import title_of
from connections.rules.decide import Decided

ASKING = "ask-operator"
"""Kind of this remedy; it does not change the site."""


def other_reading(start: Start) -> Iterator[Option]:
    """Ask the operator which reading it takes, where the published text has two.

    The site does not change. The rules give the procedure of the other reading.
    """
    case = start.before.case
    order = case.ready.order
    reached = case.other_reading
    if reached is None or order[reached] >= order.get(case.outcome, len(order)):
        return
    yield Option(
        kind=ASKING,
        what="the network operator's word that it reads the text the other way",
        name="Ask the network operator",
        change=Edit(start.site).changes,
        proof=Proof(start.before, (), True),
        notes=(
            f"By that reading the procedure is: {title_of(case, reached)}. Its answer is kept as "
            "a local entry of the rulebook.",
        ),
    )


def reading_reached(before: Decided) -> str:
    """The procedure by the other reading."""
    return before.case.other_reading or before.procedure

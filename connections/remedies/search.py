"""Find every remedy for a site: first those that leave no stop, then by what is lost."""

from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct

from connections.facts.decision import Remedy
from connections.facts.site import Site
from connections.remedies.counting import MOST, CountedRules, EnoughAskedError
from connections.remedies.kinds.assigning import MOST_WAYS, TooManyWaysError
from connections.remedies.kinds.export_limit import export_limits
from connections.remedies.kinds.fewer_units import fewer_units
from connections.remedies.kinds.import_limit import import_limits
from connections.remedies.kinds.other_rating import factory_limits, smaller_units
from connections.remedies.kinds.other_reading import ASKING, other_reading
from connections.remedies.kinds.pairs import pairs
from connections.remedies.kinds.phases import other_phases, three_phase_supply
from connections.remedies.kinds.shared_inverter import shared_inverters
from connections.remedies.kinds.tested import tested_equipment
from connections.remedies.option import Model, Option, Start
from connections.remedies.telling import Loss, lost, remedy
from connections.rulebook.book import Rulebook
from connections.rules.decide import UNDETERMINED, Decided
from connections.rules.figures import plural

# 2026-11-25: only proposed plant is made smaller, fewer, limited, moved or tested; a shared
# inverter alone may replace existing inverters.
_SINGLE: tuple[Callable[[Start], Iterator[Option]], ...] = (
    other_reading,
    tested_equipment,
    export_limits,
    import_limits,
    other_phases,
    shared_inverters,
    factory_limits,
    smaller_units,
    fewer_units,
    three_phase_supply,
)
"""Order of telling where several lose as much and reach the same procedure."""


class Found(Struct, frozen=True):
    """The result of a search: remedies, number of questions, and why it stopped early.

    `stopped` is empty if the search was complete.
    """

    remedies: tuple[Remedy, ...]
    asked: int
    stopped: str


def search(
    site: Site,
    decided: Decided,
    book: Rulebook,
    *,
    catalogue: Sequence[Model] = (),
    most: int = MOST,
) -> Found:
    """Find the remedies that the rules prove, those that leave no stop first.

    Among these, asking the operator comes first, since it changes nothing; then what loses
    nothing, such as another phase, then the least loss; of equal ones the quickest procedure.

    An undetermined procedure has no remedies: the missing facts come first. Two changes together
    are tried only where no single one passes.
    """
    if decided.procedure == UNDETERMINED:
        return Found((), 0, "")
    start = Start(site, decided, CountedRules(book, most), tuple(catalogue))
    found: list[tuple[Remedy, Loss]] = []
    stopped = ""
    passed = False
    try:
        for kind in _SINGLE:
            try:
                for option in kind(start):
                    found.append(_told(start, option))
                    passed = passed or kind not in (other_reading, import_limits)
            except TooManyWaysError:
                stopped = (
                    "Not every way to put the single-phase units on the phases was tried: there "
                    f"are more than {MOST_WAYS:,}."
                )
        if not passed:
            found.extend(_told(start, *pair) for pair in pairs(start))
    except TooManyWaysError:
        stopped = f"Not every way to put units on phases was tried: over {MOST_WAYS:,}."
    except EnoughAskedError:
        stopped = (
            f"The search stopped after {plural(start.rules.asked, 'question')} to the rules; there "
            "may be further remedies."
        )
    order = decided.case.ready.order
    found.sort(
        key=lambda one: (
            bool(one[0].leaves),
            one[0].kind != ASKING,
            one[1],
            order[one[0].procedure],
        )
    )
    return Found(tuple(one for one, _ in found), start.rules.asked, stopped)


def _told(start: Start, *options: Option) -> tuple[Remedy, Loss]:
    return remedy(start, *options), lost(start.before, options[-1].proof.decided)

"""Limits of the decision table for the sum of a phase."""

from connections.facts.deciding import BY_NAME
from connections.facts.decision import Decision
from connections.rulebook.book import Rulebook


def limits_near(book: Rulebook, decision: Decision) -> dict[int, str]:
    """The limits [mA] that the fullest phase passes or reaches, and the next one.

    Each has one key of the rulebook. Where rows have the same limit, those that are about other
    plant come last: their failed conditions ask for more than a size.
    """
    elsewhere = {
        reason.row
        for reason in decision.procedure.not_because
        if any(BY_NAME[failed.fact].kind in ("yes-no", "word") for failed in reason.failed)
    }
    limits: dict[int, str] = {}
    for row in sorted(book.table, key=lambda row: row.id in elsewhere):
        for condition in row.when:
            key = condition.against
            if condition.fact == "largest_phase_sum" and book.values[key].unit == "mA":
                limits.setdefault(book.whole(key), key)
    fullest = max((phase.ma or 0 for phase in decision.phase_sums), default=0)
    near: dict[int, str] = {}
    for limit in sorted(limits):
        near[limit] = limits[limit]
        if limit > fullest:
            break
    return near

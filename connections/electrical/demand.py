"""Maximum demand: several loads after diversity, and the headroom of a cut-out.

The rules have the shape of the household table in the guides to BS 7671 (secondary); the rulebook
gives the figures.
"""

from collections.abc import Sequence

from msgspec import Struct

from connections.electrical.electrical_errors import ElectricalError, not_negative


class Diversity(Struct, frozen=True):
    """A diversity rule for loads of one kind.

    The `largest` so many count in full, or the first `first_a` of each [A]. The rest counts by
    `share`; each load adds `extra_a` [A].
    """

    share: float = 1.0
    largest: int = 0
    first_a: float = 0.0
    extra_a: float = 0.0


def after_diversity_a(currents_a: Sequence[float], rule: Diversity) -> float:
    """Currents of one kind after diversity, summed [A]. Raises ElectricalError."""
    for current in currents_a:
        not_negative("currents_a", current)
    if not 0 <= rule.share <= 1:
        raise ElectricalError("share", "a share lies between nothing and all")
    in_order = sorted(currents_a, reverse=True)
    whole = in_order[: rule.largest]
    total = sum(whole)
    for current in in_order[rule.largest :]:
        first = min(current, rule.first_a)
        total += first + rule.share * (current - first)
    return total + rule.extra_a * len(in_order)


def headroom_a(cutout_a: float, uncontrolled_a: float) -> float:
    """The headroom of a cut-out for controllable loads [A]; negative when overloaded."""
    return not_negative("cutout_a", cutout_a) - not_negative("uncontrolled_a", uncontrolled_a)

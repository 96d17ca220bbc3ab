"""How a protective device opens on a fault: from which current, and the energy until then.

A circuit-breaker opens at once from a multiple of its rating on (EN 60898-1: 5, 10 or 20 times for
types B, C and D), and in energy class 3 lets no more through than a table. A fuse for general use
melts between gates (IEC 60269-1). All from memory; the figures stand in the rulebook.
"""

from msgspec import Struct

from connections.electrical.electrical_errors import positive


class Breaker(Struct, frozen=True):
    """A circuit-breaker: from which current it opens at once, within which time, and what it lets
    through: pairs of fault current [A] and energy [A²s], smallest first."""

    at_once_a: float
    at_once_s: float
    let_through: tuple[tuple[float, float], ...] = ()
    breaking_a: float = 0.0

    def opens_a(self, _time_s: float) -> float:
        """The current that surely opens it within a time [A]; it opens at once or late."""
        return self.at_once_a

    def energy_a2s(self, fault_a: float) -> float | None:
        """The most energy until it opens [A²s]; None below the current that opens it at once."""
        if positive("fault_a", fault_a) < self.at_once_a:
            return None
        whole = fault_a**2 * self.at_once_s
        up_to = max(fault_a, self.breaking_a)
        held = [energy for most, energy in self.let_through if up_to <= most]
        return min([whole, *held[:1]])


class Fuse(Struct, frozen=True):
    """A fuse: the currents that surely melt it within 5 s and within 0.1 s [A]."""

    five_s_a: float
    tenth_s_a: float

    def opens_a(self, time_s: float) -> float:
        """The current that surely opens it within a time [A]: by the gate at or below that time."""
        return self.five_s_a if time_s >= 5 else self.tenth_s_a

    def energy_a2s(self, fault_a: float) -> float | None:
        """The most energy until it opens [A²s]; None where it may take longer than 5 s.

        Above the gate of 0.1 s it falls with the current: the gate's own energy bounds it.
        """
        if positive("fault_a", fault_a) < self.five_s_a:
            return None
        whole = fault_a**2 * 5
        return whole if fault_a < self.tenth_s_a else min(whole, self.tenth_s_a**2 * 0.1)

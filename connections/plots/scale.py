"""Map figures to places on a sheet: round steps of an axis, and their words."""

from math import floor, isfinite, log10

from msgspec import Struct

_STEPS = (1, 2, 5, 10)


class Scale(Struct, frozen=True):
    """An axis from `low` at the place `start` to `high` at `end`, with ticks between."""

    low: float
    high: float
    start: float
    end: float
    ticks: tuple[float, ...]

    def at(self, value: float) -> float:
        """Place of a figure."""
        share = (value - self.low) / (self.high - self.low)
        return round(self.start + share * (self.end - self.start), 2)


def scale(low: float, high: float, start: float, end: float, *, most: int = 6) -> Scale:
    """An axis that holds both figures, from tick to tick, with about `most` ticks at most.

    Steps are 1, 2 or 5 times a power of ten. Raises ValueError for a figure that is not finite.
    """
    if not (isfinite(low) and isfinite(high)):
        raise ValueError("a plot needs numbers")
    low, high = min(low, high), max(low, high)
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        # One figure, or figures that no reader could tell apart.
        low, high = (low - 1, high + 1) if high else (0.0, 1.0)
    rough = (high - low) / max(1, most - 1)
    power = 10.0 ** floor(log10(rough))
    step = next(n for n in _STEPS if n * power >= rough * (1 - 1e-9)) * power
    first = floor(low / step + 1e-9)
    ticks = [first * step]
    while ticks[-1] < high - step * 1e-9:
        ticks.append((first + len(ticks)) * step)
    rounded = tuple(round(tick, 10) for tick in ticks)
    return Scale(rounded[0], rounded[-1], start, end, rounded)


def figure(value: float) -> str:
    """A tick in words: no more digits than it needs."""
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text

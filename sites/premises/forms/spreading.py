"""Spreads single-phase units over the phases of a supply: one line for each phase."""

from collections.abc import Sequence


def spread(quantity: int, phases: Sequence[str]) -> list[tuple[str, int]]:
    """Return each phase with its number of units, as even as possible, first phases fuller.

    Leaves out a phase without units: 11 units on three phases give 4, 4 and 3.
    """
    each, left = divmod(quantity, len(phases))
    counts = [each + (i < left) for i in range(len(phases))]
    return [(phase, count) for phase, count in zip(phases, counts, strict=True) if count]


def share(total: int | None, weights: Sequence[int]) -> list[int | None]:
    """Divide a total by weights into whole parts that sum to it; largest remainders first.

    4730 by 4, 4 and 3 gives 1720, 1720 and 1290. An unknown total gives unknown parts.
    """
    if total is None:
        return [None] * len(weights)
    whole = sum(weights)
    parts = [total * weight // whole for weight in weights]
    order = sorted(range(len(weights)), key=lambda i: -(total * weights[i] % whole))
    for i in order[: total - sum(parts)]:
        parts[i] += 1
    return list(parts)


def share_lines(text: str, weights: Sequence[int]) -> list[str]:
    """Deal lines out in order, to each as many as its weight; the last takes the rest."""
    lines = text.splitlines()
    dealt = []
    for i, weight in enumerate(weights):
        last = i == len(weights) - 1
        dealt.append("\n".join(lines if last else lines[:weight]))
        lines = [] if last else lines[weight:]
    return dealt

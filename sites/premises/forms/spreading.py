"""Single-phase units spread over the phases of a supply: one line becomes one for each phase."""

from collections.abc import Sequence


def spread(quantity: int, phases: Sequence[str]) -> list[tuple[str, int]]:
    """The phases with the number of units on each, as even as can be, the first ones fuller.

    A phase that gets none is left out: 11 units on three phases are 4, 4 and 3.
    """
    each, left = divmod(quantity, len(phases))
    counts = [each + (i < left) for i in range(len(phases))]
    return [(phase, count) for phase, count in zip(phases, counts, strict=True) if count]


def share(total: int | None, weights: Sequence[int]) -> list[int | None]:
    """A whole total divided by weights into whole parts that add up; largest remainders first.

    4730 by 4, 4 and 3 is 1720, 1720 and 1290. An unknown total has unknown parts.
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
    """Lines dealt out in order, as many to each as its weight; what is left goes to the last."""
    lines = text.splitlines()
    dealt = []
    for i, weight in enumerate(weights):
        last = i == len(weights) - 1
        dealt.append("\n".join(lines if last else lines[:weight]))
        lines = [] if last else lines[weight:]
    return dealt

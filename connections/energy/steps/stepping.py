"""Convert a series from one length of step to another."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Series = npt.NDArray[np.float64]


def in_steps(power: "Series", from_minutes: int, to_minutes: int) -> "Series":
    """Convert a power to means over steps of another length [any unit of power].

    Longer steps are means; shorter ones repeat the value, since nothing is known within.
    """
    import numpy as np

    if to_minutes == from_minutes:
        return power
    if to_minutes > from_minutes:
        means: Series = power.reshape(-1, to_minutes // from_minutes).mean(axis=1)
        return means
    return np.repeat(power, from_minutes // to_minutes)

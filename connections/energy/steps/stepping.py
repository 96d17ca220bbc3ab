"""A series in one step of time as a series in another."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Series = npt.NDArray[np.float64]


def in_steps(power: "Series", from_minutes: int, to_minutes: int) -> "Series":
    """A power over steps of one length as its means over steps of another [any unit of power].

    Coarser steps are means; finer ones repeat the value, for nothing is known between.
    """
    import numpy as np

    if to_minutes == from_minutes:
        return power
    if to_minutes > from_minutes:
        means: Series = power.reshape(-1, to_minutes // from_minutes).mean(axis=1)
        return means
    return np.repeat(power, from_minutes // to_minutes)

"""What an inverter gives, and a use that never changes: small plain inputs for tests of a year."""

import numpy as np

from connections.energy.load import Load
from connections.energy.weather.pv import share_let_through


def ac_w(dc_w, rated_w):
    """AC power of an inverter with its part-load curve [W], 0.96 at its rating, clipped there."""
    return np.minimum(dc_w * share_let_through(dc_w, rated_w, 0.96), rated_w)


def level_load(yearly_kwh):
    """The same use at every moment of the year, hour by hour."""
    return Load(np.full(8760, yearly_kwh / 8760), 60, ("Use: the same at every moment.",))

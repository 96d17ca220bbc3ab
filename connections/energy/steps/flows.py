"""Flows in each step of a year: inputs and results of dispatch.

Powers are means over a step [kW]; energies are those at its end [kWh]. All arrays of one year have
the same length.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from connections.energy.efficiencies import Efficiencies

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Series = npt.NDArray[np.float64]
    Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class SeparatePv:
    """Panels behind an inverter without cells: DC power, AC rating, inverter efficiency."""

    dc_kw: "Series"
    rated_kw: float
    share: "Series | float"


@dataclass(frozen=True)
class CellLimits:
    """Cells as dispatch sees them: usable energy [kWh], most in and out [kW].

    `buy_kw` is the part of `charge_kw` that may come from the network in a window. `sell_kw` is the
    part of `discharge_kw` that may go there. Both are less than the whole where some cells may not.
    """

    usable_kwh: float
    charge_kw: float
    discharge_kw: float
    buy_kw: float
    sell_kw: float


@dataclass(frozen=True, eq=False)
class SharedUnit:
    """Panels and cells behind one inverter: DC power, AC rating, inverter efficiency, cells."""

    dc_kw: "Series"
    rated_kw: float
    share: "Series | float"
    cells: CellLimits


@dataclass(frozen=True, eq=False)
class StepInputs:
    """Inputs of dispatch: the length of a step, use of the house, plant, and windows.

    `cheap` marks the steps that fill cells from the network, up to `cheap_to` of their usable
    energy; `sell` marks those that empty cells into it. None for no window.
    """

    hours: float
    load_kw: "Series"
    separate: tuple[SeparatePv, ...]
    shared: SharedUnit | None
    cells: CellLimits | None
    shares: Efficiencies
    cheap: "Flags | None" = None
    cheap_to: float = 1.0
    sell: "Flags | None" = None


@dataclass(frozen=True, eq=False)
class Flows:
    """Results of dispatch, step by step.

    Sun: `dc` is at the panels; `potential` would be AC without any rating or limit. `clipped` is
    what an inverter's rating takes, `lost` what the limit takes. `direct` goes to the house at
    once.

    Cells with their own inverter: `charge` and `discharge` are at AC; `sold` goes straight to the
    network, `bought` comes from it. Names with `shared_` are the same behind a hybrid inverter,
    where `shared_charge` is DC from the panels and `shared_surplus` AC from other panels.

    `stored` and `shared_stored` are the energies [kWh]. `surplus` would be exported without a
    limit, less what cells sell. `conversion` is the heat of conversions and cells, worked out for
    each device by itself.
    """

    inputs: StepInputs
    limit_kw: float | None
    dc: "Series"
    potential: "Series"
    separate_ac: "Series"
    shared_ac: "Series"
    clipped: "Series"
    direct: "Series"
    surplus: "Series"
    exported: "Series"
    lost: "Series"
    imported: "Series"
    charge: "Series"
    discharge: "Series"
    sold: "Series"
    bought: "Series"
    stored: "Series"
    shared_charge: "Series"
    shared_surplus: "Series"
    shared_discharge: "Series"
    shared_sold: "Series"
    shared_bought: "Series"
    shared_stored: "Series"
    conversion: "Series"

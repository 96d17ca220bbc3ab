"""Efficiency of each conversion, with published ranges and sources.

A conversion between DC and AC is one step; so is one between two DC voltages.
"""

import math
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from connections.energy.energy_errors import EnergyError

Coupling = Literal["separate", "shared"]

_MEASURED = "range of published measurements of inverters and batteries"
"""Source: efficiency table of bslib 0.7 (CC BY 4.0), from measurements by HTW Berlin."""


class Efficiencies(Struct, frozen=True):
    """Efficiencies of the conversions, as shares of 1.

    `inverter` is the nominal efficiency of a PV or hybrid inverter. With `part_load`, its
    efficiency in each step follows the curve of PVWatts, which ends in that nominal value.
    `cells_ac` is one way between AC and cells through their own inverter. `cells_dc` is one way
    between the DC side of a hybrid inverter and its cells. `cells` is the round trip through the
    cells themselves.
    """

    inverter: float = 0.96
    part_load: bool = True
    cells_ac: float = 0.96
    cells_dc: float = 0.98
    cells: float = 0.95

    def checked(self) -> "Efficiencies":
        """Returns itself. Raises EnergyError for a share outside 0.5 to 1."""
        for name in ("inverter", "cells_ac", "cells_dc", "cells"):
            share = getattr(self, name)
            if not 0.5 <= share <= 1:
                raise EnergyError(f"An efficiency ({name}) of {share:g} cannot be: give 0.5 to 1.")
        return self

    @property
    def cells_one_way(self) -> float:
        """One-way efficiency of the cells: half of the loss in, half of it out."""
        return math.sqrt(self.cells)


class EfficiencyRange(Struct, frozen=True):
    """A default with its published range and source."""

    field: str
    says: str
    default: float
    least: float
    most: float
    source: str
    certainty: str


RANGES = (
    EfficiencyRange(
        "inverter", "sun to AC through an inverter at its rating", 0.96, 0.956, 0.982,
        f"a published default, 0.96; {_MEASURED}", "published",
    ),
    EfficiencyRange(
        "cells_ac", "AC to cells or back through the cells' own inverter, one way", 0.96, 0.943,
        0.976, f"our choice within the {_MEASURED}, which has 0.95 for AC-coupled devices at large",
        "published",
    ),
    EfficiencyRange(
        "cells_dc", "DC side of a hybrid inverter to cells or back, one way", 0.98, 0.961, 0.991,
        f"our choice within the {_MEASURED}", "published",
    ),
    EfficiencyRange(
        "cells", "the cells, in and out again", 0.95, 0.948, 0.969,
        f"our choice within the {_MEASURED}", "published",
    ),
)  # fmt: skip
"""Defaults and ranges; 0.96 is the default of PVWatts (pvlib's documentation). Cells to AC through
a hybrid inverter takes two conversions: 0.98 x 0.96 = 0.941, a little below the measured 0.943 to
0.976."""


class Route(Struct, frozen=True):
    """An energy path: its conversions, those between AC and DC, and the share that is left."""

    name: Literal["sun to house", "sun to cells to house", "network to cells to house"]
    coupling: Coupling
    steps: int
    steps_between_ac_and_dc: int
    share: float
    workings: str


def routes(coupling: Coupling, shares: Efficiencies | None = None) -> tuple[Route, ...]:
    """The three energy paths for separate inverters or a shared one, at nominal efficiency.

    Source of the products: the round trips of the calculation's own equations. From AC to AC with
    separate inverters, the defaults give 0.96 x 0.96 x 0.95.
    """
    of = shares if shares is not None else Efficiencies()
    inverter, ac, dc, cells = of.inverter, of.cells_ac, of.cells_dc, of.cells
    sun = Route("sun to house", coupling, 1, 1, inverter, f"{inverter:g}")
    if coupling == "separate":
        return (
            sun,
            Route(
                "sun to cells to house", coupling, 3, 3, inverter * ac * ac * cells,
                f"{inverter:g} x {ac:g} x {ac:g} x {cells:g}",
            ),
            Route(
                "network to cells to house", coupling, 2, 2, ac * ac * cells,
                f"{ac:g} x {ac:g} x {cells:g}",
            ),
        )  # fmt: skip
    return (
        sun,
        Route(
            "sun to cells to house", coupling, 3, 1, dc * dc * cells * inverter,
            f"{dc:g} x {dc:g} x {cells:g} x {inverter:g}",
        ),
        Route(
            "network to cells to house", coupling, 4, 2, inverter * dc * dc * cells * inverter,
            f"{inverter:g} x {dc:g} x {dc:g} x {cells:g} x {inverter:g}",
        ),
    )  # fmt: skip


class RouteRange(Struct, frozen=True):
    """An energy path, and the share left with all conversions at the ends of their ranges."""

    route: Route
    least: float
    most: float


def routes_with_ranges(coupling: Coupling) -> tuple[RouteRange, ...]:
    """The three energy paths at the defaults, with the ranges of published devices (`RANGES`)."""
    usual = Efficiencies()
    least = replace(usual, **{each.field: each.least for each in RANGES})
    most = replace(usual, **{each.field: each.most for each in RANGES})
    return tuple(
        RouteRange(route, low.share, high.share)
        for route, low, high in zip(
            routes(coupling, usual), routes(coupling, least), routes(coupling, most), strict=True
        )
    )

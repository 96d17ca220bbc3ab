"""What a quick look asks: the supply, what is there, what is wanted. No address, no person."""

from typing import Literal

from msgspec import Struct

RoofInverter = Literal["string", "micro"]
OldTest = Literal["G98", "G99", "G83", "none"]
Earthing = Literal["TN-C-S", "TN-S", "TT", "unknown"]
CapOn = Literal["export", "installed"]


class Asked(Struct, frozen=True, forbid_unknown_fields=True):
    """Answers of a quick look; those from `cutout_a` on are assumptions until changed.

    Power in W, energy in Wh, current in mA. A 0 means that there is none, or that none is wanted.
    `there_*` is the plant that stands already. `hybrid_w` 0 takes the larger of the two wanted
    ratings. `limit_ma` is the export limit on each phase. `cap_w` is what the operator caps, on
    export or on installed capacity.
    """

    phases: Literal[1, 3] = 1
    there_w: int = 0
    there_peak_w: int = 0
    there_kind: RoofInverter = "string"
    panels_w: int = 5200
    roof_kind: RoofInverter = "string"
    pv_w: int = 4000
    battery_wh: int = 9500
    battery_w: int = 3600
    backup: bool = False
    charge_point_w: int = 0
    heat_pump_w: int = 0
    cap_w: int = 0
    cap_on: CapOn = "export"
    cutout_a: int = 100
    earthing: Earthing = "TN-C-S"
    area: str = ""
    hybrid_w: int = 0
    limit_ma: int = 16_000
    micro_w: int = 400
    there_test: OldTest = "G98"
    on_all_phases: bool = True
    charges_from_grid: bool = True

    @property
    def hybrid_rated_w(self) -> int:
        """Rating of a hybrid inverter in place of two [W]."""
        return self.hybrid_w or max(self.pv_w, self.battery_w)

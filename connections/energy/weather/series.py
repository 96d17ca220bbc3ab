"""Weather in equal steps at one place, the input for the output of panels."""

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt
    import pandas as pd

    Series = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Weather:
    """Weather of a place in equal steps.

    `starts_utc` is the start of the first step, in UTC. `ghi`, `dni` and `dhi` are global
    horizontal, direct normal and diffuse horizontal irradiance, means over each step [W/m2].
    `temperature_c` is air temperature, `wind_m_s` wind speed. `height_m` is above the sea,
    `longitude_deg` counts east. `told` names the sources in sentences.
    """

    latitude_deg: float
    longitude_deg: float
    height_m: float
    starts_utc: dt.datetime
    step_minutes: int
    ghi: "Series"
    dni: "Series"
    dhi: "Series"
    temperature_c: "Series"
    wind_m_s: "Series"
    told: tuple[str, ...] = ()

    def middles(self) -> "pd.DatetimeIndex":
        """The middle of each step, in UTC, at which the sun's position is taken."""
        import pandas as pd

        half = dt.timedelta(minutes=self.step_minutes / 2)
        return pd.date_range(
            self.starts_utc + half,
            periods=len(self.ghi),
            freq=f"{self.step_minutes}min",
        )

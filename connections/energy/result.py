"""What a calculated year says. All energies in kWh over the year, powers in kW."""

from msgspec import Struct


class Figures(Struct, frozen=True):
    """The sums of one year.

    `dc` what panels make; `potential` that after the inverters, without any rating or limit; `made`
    what is left after clipping and the limit; `clipped` what an inverter's rating takes; `lost`
    what the limit takes, `lost_percent` its share of the potential (0 where there is no sun).
    `used` the use of the house, of which `direct` comes from the sun at once and `from_cells`
    later; `on_site` both; `exported`, `imported`. `charged` into cells from the sun, `bought` into
    them from the network, `discharged` out of them to house and network, `sold` the part to the
    network; each at the place where the equations count it. `conversion` heat of conversions and
    cells, `left` in the cells at the end. `hours_limited` hours in which the limit holds something
    back, `most_exported_kw` the highest export.
    """

    dc: float
    potential: float
    made: float
    clipped: float
    lost: float
    lost_percent: float
    used: float
    direct: float
    from_cells: float
    on_site: float
    exported: float
    imported: float
    charged: float
    bought: float
    discharged: float
    sold: float
    conversion: float
    left: float
    hours_limited: float
    most_exported_kw: float

    @property
    def on_the_way(self) -> float:
        """What is lost between what is made and what arrives: in cells, into them and out of them.

        The heat of the sun's own inverters is none of it, for what is made is counted behind them:
        made + bought = on_site + exported + on_the_way + left. Where shared cells take the sun past
        an inverter at low load it may be less than nothing.
        """
        return self.conversion - (self.dc - self.potential)


class Money(Struct, frozen=True):
    """What the year's energy costs and brings [pounds]; None where a price is missing."""

    import_cost: float | None
    export_value: float | None
    lost_value: float | None


class Month(Struct, frozen=True):
    """The sums of one month, by UTC: its name and kWh.

    `bought` goes into the cells from the network, `on_the_way` is as in Figures, and `kept` what
    the cells hold more at its end than at its begin: made + bought = on_site + exported +
    on_the_way + kept.
    """

    name: str
    made: float
    on_site: float
    exported: float
    imported: float
    clipped: float
    lost: float
    used: float
    bought: float
    on_the_way: float
    kept: float


class Day(Struct, frozen=True):
    """One day from midnight by the clock on the wall, step by step, for a plot.

    `hours` is the middle of each step after midnight [h]; powers are means over the step [kW];
    `cells_kwh` is what the cells hold after it. `why` says how the day was chosen.
    """

    name: str
    why: str
    hours: tuple[float, ...]
    sun_kw: tuple[float, ...]
    used_kw: tuple[float, ...]
    exported_kw: tuple[float, ...]
    imported_kw: tuple[float, ...]
    clipped_kw: tuple[float, ...]
    lost_kw: tuple[float, ...]
    cells_kwh: tuple[float, ...]


class Case(Struct, frozen=True):
    """The year with other inputs: in words, its sums, and its money."""

    name: str
    says: str
    figures: Figures
    money: Money = Money(None, None, None)


class Finer(Struct, frozen=True):
    """What the same year says in quarter hours, and in words what the longer step hid.

    `figures` is None where there is nothing finer to calculate from.
    """

    sentence: str
    figures: Figures | None


class EnergyYear(Struct, frozen=True):
    """A calculated year: its sums, months, two days, cases, and the statement of its method."""

    step_minutes: int
    export_limit_kw: float | None
    figures: Figures
    low: Case | None
    high: Case | None
    months: tuple[Month, ...]
    summer: Day
    winter: Day
    finer: Finer
    money: Money
    method: tuple[str, ...]


class AtLimit(Struct, frozen=True):
    """One export limit of a sweep [kW], None for no limit, and the year's sums under it."""

    limit_kw: float | None
    figures: Figures

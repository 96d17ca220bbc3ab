"""Results of a calculated year. All energies in kWh over the year, powers in kW."""

from msgspec import Struct


class Figures(Struct, frozen=True):
    """The sums of one year.

    `dc` is what panels make. `potential` is that after the inverters, without any rating or limit.
    `made` is what is left after clipping and the limit. `clipped` is what an inverter's rating
    takes, `lost` what the limit takes, `lost_percent` its share of the potential (0 where there is
    no sun).

    `used` is the use of the house: `direct` comes from the sun at once, `from_cells` later,
    `on_site` is both. `exported` and `imported` pass the supply. `charged` goes into cells from the
    sun, `bought` into them from the network. `discharged` comes out of them to house and network,
    `sold` is the part to the network. Each is counted where the equations count it.

    `conversion` is the heat of conversions and cells, `left` the energy in the cells at the end.
    `hours_limited` counts the hours in which the limit holds something back. `most_exported_kw` is
    the highest export.
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
        """Loss between what is made and what arrives: into the cells, in them and out of them.

        It leaves out the heat of the sun's own inverters, since `made` is counted behind them: made
        + bought = on_site + exported + on_the_way + left. It may be negative where shared cells
        take the sun past an inverter at low load.
        """
        return self.conversion - (self.dc - self.potential)


class AtPrice(Struct, frozen=True):
    """What a year buys or sells at one price: its hours in words, pence/kWh, kWh and pounds."""

    hours: str
    pence: float
    kwh: float
    pounds: float


class Money(Struct, frozen=True):
    """Cost and value of the year's energy [pounds]; None where a price is missing.

    `bought` and `sold` part the cost and the value by price; `standing_cost` is beside them.
    """

    import_cost: float | None
    export_value: float | None
    lost_value: float | None
    standing_cost: float | None = None
    bought: tuple[AtPrice, ...] = ()
    sold: tuple[AtPrice, ...] = ()


class Month(Struct, frozen=True):
    """The sums of one month, by UTC: its name and kWh.

    `bought` goes into the cells from the network; `on_the_way` is as in Figures. `kept` is how much
    more the cells hold at its end than at its begin: made + bought = on_site + exported +
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
    """One day from midnight in local time, step by step, for a plot.

    `hours` is the middle of each step after midnight [h]; powers are means over the step [kW].
    `cells_kwh` is the energy in the cells after the step. `why` says how the day was chosen.
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


class Varied(Struct, frozen=True):
    """The year's money with one assumption at both ends of a band, in words, and all else equal."""

    what: str
    band: str
    low: Money
    high: Money


class Finer(Struct, frozen=True):
    """The same year in quarter hours, and a sentence on what the longer step hid.

    `figures` is None where there is nothing finer to calculate from.
    """

    sentence: str
    figures: Figures | None


class EnergyYear(Struct, frozen=True):
    """A calculated year: its sums, months, two days, cases, and the statement of its method.

    `varied` is there where both prices are known.
    """

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
    varied: tuple[Varied, ...] = ()


class AtLimit(Struct, frozen=True):
    """One export limit of a sweep [kW], None for no limit, and the year's sums under it."""

    limit_kw: float | None
    figures: Figures

"""Sum up the flows of each step to sums, months, days and money."""

from typing import TYPE_CHECKING

from connections.energy.options import HourPrice, Options, Window
from connections.energy.result import AtPrice, Day, Figures, Money, Month
from connections.energy.steps.clock import DAYS, day_name, first_step_of_day, summer_steps

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy as np
    import numpy.typing as npt

    from connections.energy.steps.flows import Flows

    Series = npt.NDArray[np.float64]
    Flags = npt.NDArray[np.bool_]

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip

_HELD_BACK_KW = 1e-9
"""A smaller loss to a limit counts as none [kW]."""


def figures_of(flows: "Flows") -> Figures:
    """The sums of a year."""
    hours = flows.inputs.hours

    def kwh(series: "Series") -> float:
        return float(series.sum()) * hours

    potential, clipped, lost = kwh(flows.potential), kwh(flows.clipped), kwh(flows.lost)
    sold = kwh(flows.sold) + kwh(flows.shared_sold)
    given = kwh(flows.discharge) + kwh(flows.shared_discharge)
    direct = kwh(flows.direct)
    return Figures(
        dc=kwh(flows.dc),
        potential=potential,
        made=potential - clipped - lost,
        clipped=clipped,
        lost=lost,
        lost_percent=100 * lost / potential if potential > 0 else 0.0,
        used=kwh(flows.inputs.load_kw),
        direct=direct,
        from_cells=given,
        on_site=direct + given,
        exported=kwh(flows.exported),
        imported=kwh(flows.imported),
        charged=kwh(flows.charge) + kwh(flows.shared_charge) + kwh(flows.shared_surplus),
        bought=kwh(flows.bought) + kwh(flows.shared_bought),
        discharged=given + sold,
        sold=sold,
        conversion=kwh(flows.conversion),
        left=float(flows.stored[-1] + flows.shared_stored[-1]),
        hours_limited=float((flows.lost > _HELD_BACK_KW).sum()) * hours,
        most_exported_kw=float(flows.exported.max(initial=0.0)),
    )


def months_of(flows: "Flows", step_minutes: int) -> tuple[Month, ...]:
    """The sums of each month, by UTC."""
    found = []
    first = 0
    stored, before = flows.stored + flows.shared_stored, 0.0
    for name, days in zip(MONTHS, DAYS, strict=True):
        after = first + days * 1440 // step_minutes
        part = slice(first, after)

        def kwh(series: "Series", part: slice = part) -> float:
            return float(series[part].sum()) * flows.inputs.hours

        clipped, lost, potential = kwh(flows.clipped), kwh(flows.lost), kwh(flows.potential)
        after_it = float(stored[after - 1])
        found.append(
            Month(
                name=name,
                made=potential - clipped - lost,
                on_site=kwh(flows.direct) + kwh(flows.discharge) + kwh(flows.shared_discharge),
                exported=kwh(flows.exported),
                imported=kwh(flows.imported),
                clipped=clipped,
                lost=lost,
                used=kwh(flows.inputs.load_kw),
                bought=kwh(flows.bought) + kwh(flows.shared_bought),
                on_the_way=kwh(flows.conversion) - (kwh(flows.dc) - potential),
                kept=after_it - before,
            )
        )
        first, before = after, after_it
    return tuple(found)


def days_to_show(ghi_by_day: "Series") -> tuple[int, int]:
    """The sunniest day of June to August and the median one of December to February.

    The choice uses the sun alone, so that all designs under it show the same two days. Days count
    from 0; of the two middle days of winter the earlier is taken.
    """
    import numpy as np

    june = sum(DAYS[:5])
    summer = june + int(np.argmax(ghi_by_day[june : june + sum(DAYS[5:8])]))
    december = sum(DAYS[:11])
    winter_days = [*range(sum(DAYS[:2])), *range(december, 365)]
    by_sun = sorted(winter_days, key=lambda day: (float(ghi_by_day[day]), day))
    return summer, by_sun[(len(by_sun) - 1) // 2]


def day_of(flows: "Flows", day: int, step_minutes: int, why: str) -> Day:
    """One day, from midnight in local time."""
    per_day = 1440 // step_minutes
    first = first_step_of_day(day, step_minutes)
    forward, back = summer_steps(step_minutes)
    if forward <= first < back:
        first -= 60 // step_minutes
    part = slice(first, first + per_day)

    def cut(series: "Series") -> tuple[float, ...]:
        return tuple(round(value, 6) for value in series[part].tolist())

    return Day(
        name=day_name(day),
        why=why,
        hours=tuple((step + 0.5) * step_minutes / 60 for step in range(per_day)),
        sun_kw=cut(flows.potential),
        used_kw=cut(flows.inputs.load_kw),
        exported_kw=cut(flows.exported),
        imported_kw=cut(flows.imported),
        clipped_kw=cut(flows.clipped),
        lost_kw=cut(flows.lost),
        cells_kwh=cut(flows.stored + flows.shared_stored),
    )


def money_of(flows: "Flows", options: Options, inside: "Callable[[Window], Flags]") -> Money:
    """Cost and value of the year's energy [pounds], as far as prices are known.

    `inside` marks the steps of a window. Prices of hours hold with or without cells. Lost energy is
    valued at the export price of its step.
    """
    hours, prices = flows.inputs.hours, options.prices

    def at_prices(
        power: "Series", common: float | None, of_hours: tuple[HourPrice, ...]
    ) -> tuple[AtPrice, ...]:
        if common is None:
            return ()
        rest = power.copy()
        found = []
        for each in of_hours:
            marked = inside(each.window)
            rest[marked] = 0
            kwh = float(power[marked].sum()) * hours
            found.append(AtPrice(each.window.words(), each.pence, kwh, kwh * each.pence / 100))
        kwh = float(rest.sum()) * hours
        when = "all other hours" if of_hours else "all hours"
        return (*found, AtPrice(when, common, kwh, kwh * common / 100))

    bought = at_prices(flows.imported, prices.import_pence, options.import_prices)
    sold = at_prices(flows.exported, prices.export_pence, options.export_prices)
    lost = at_prices(flows.lost, prices.export_pence, options.export_prices)
    return Money(
        import_cost=_total(bought),
        export_value=_total(sold),
        lost_value=_total(lost),
        standing_cost=None
        if prices.standing_pence is None
        else sum(DAYS) * prices.standing_pence / 100,
        bought=bought,
        sold=sold,
    )


def _total(parts: tuple[AtPrice, ...]) -> float | None:
    return sum(part.pounds for part in parts) if parts else None

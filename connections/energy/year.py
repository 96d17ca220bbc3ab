"""The year of a design: sun and use in, sums, months, days, cases and method out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from msgspec.structs import replace

from connections.energy.efficiencies import Efficiencies
from connections.energy.load import Load
from connections.energy.method import finer_sentence, method_of
from connections.energy.options import Options, Window
from connections.energy.plant import Cells, Plant, PvArray
from connections.energy.result import AtLimit, Case, EnergyYear, Figures, Finer, Money, Varied
from connections.energy.steps.clock import STEPS_MINUTES, steps_of, summer_steps
from connections.energy.steps.dispatch import dispatch, dispatch_each
from connections.energy.steps.flows import CellLimits, SeparatePv, SharedUnit, StepInputs
from connections.energy.steps.invariants import check
from connections.energy.steps.stepping import in_steps
from connections.energy.steps.sums import day_of, days_to_show, figures_of, money_of, months_of
from connections.energy.weather.pv import LOSS, dc_w_per_kwp, share_let_through
from connections.energy.weather.sunshine import Sunshine

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from connections.energy.steps.flows import Flows

    Series = npt.NDArray[np.float64]
    Flags = npt.NDArray[np.bool_]

FINEST = STEPS_MINUTES[0]

LEAST_SUN, MOST_SUN = 0.95, 1.05
"""Sun of a dull and of a bright year, relative to a typical one. Our choice, from memory of the
spread of years in Great Britain: about 4 % (standard deviation)."""
MOST_LOSS, LEAST_LOSS = 0.18, 0.10
"""Losses ahead of the inverter in the low and the high case, beside PVWatts' 14 %. Our choice."""
USE_BAND = 0.2
"""How far the use of a house is varied [of it]. Our choice."""
LOW_SHARES = Efficiencies(cells_ac=0.95, cells_dc=0.961, cells=0.948)
HIGH_SHARES = Efficiencies(cells_ac=0.976, cells_dc=0.991, cells=0.969)
"""Ends of the published ranges of devices (connections.energy.efficiencies); 0.95 is their value
for AC-coupled devices at large. The inverter keeps its nominal share."""


def energy_year(
    plant: Plant, sun: Sunshine, load: Load, options: Options | None = None
) -> EnergyYear:
    """Calculate the year of a plant under this sun and with this use.

    Raises EnergyError for an impossible input. Raises InvariantError, its subclass, where the
    calculated year breaks a law of energy.
    """
    chosen = (options if options is not None else Options()).checked()
    step = chosen.step_minutes
    inputs = _inputs(plant.checked(), sun, load, chosen, step)
    limit = _kw(plant.export_limit_w)
    flows = dispatch(inputs, limit)
    check(flows)
    figures = figures_of(flows)
    summer, winter = days_to_show(sun.ghi_by_day())
    finer = _finer(plant, sun, load, chosen, figures)
    low, high = _cases(plant, sun, load, chosen) if chosen.cases else (None, None)
    return EnergyYear(
        step_minutes=step,
        export_limit_kw=limit,
        figures=figures,
        low=low,
        high=high,
        months=months_of(flows, step),
        summer=day_of(flows, summer, step, "the sunniest day of June to August in this sun"),
        winter=day_of(flows, winter, step, "the middling day of December to February in this sun"),
        finer=finer,
        money=_money(flows, chosen),
        method=method_of(plant, sun, load, chosen, finer.sentence),
        varied=_varied(plant, sun, load, chosen) if chosen.cases else (),
    )


def each_limit(
    plant: Plant,
    sun: Sunshine,
    load: Load,
    limits_w: Sequence[float | None],
    options: Options | None = None,
) -> Iterator[AtLimit]:
    """Yield the year's sums under each export limit [W]; None is no limit.

    Raises as `energy_year`: before the first limit, or where a law is broken.
    """
    chosen = (options if options is not None else Options()).checked()
    for limit in limits_w:
        replace(plant, export_limit_w=limit).checked()
    inputs = _inputs(plant, sun, load, chosen, chosen.step_minutes)
    wanted = tuple(_kw(limit) for limit in limits_w)
    return _at_each(inputs, wanted)


def _at_each(inputs: StepInputs, limits_kw: tuple[float | None, ...]) -> Iterator[AtLimit]:
    for limit, flows in zip(limits_kw, dispatch_each(inputs, limits_kw), strict=True):
        check(flows)
        yield AtLimit(limit, figures_of(flows))


def _kw(watts: float | None) -> float | None:
    return None if watts is None else watts / 1000


@dataclass(frozen=True)
class _Spread:
    """Differences of a case: factors on the output of panels and on use, other efficiencies."""

    factor: float = 1.0
    shares: Efficiencies | None = None
    use: float = 1.0


def _inputs(
    plant: Plant,
    sun: Sunshine,
    load: Load,
    options: Options,
    step: int,
    spread: _Spread | None = None,
) -> StepInputs:
    """Build the inputs of dispatch for a step length and a case."""
    import numpy as np

    differs = spread if spread is not None else _Spread()
    shares = options.efficiencies
    if differs.shares is not None:
        shares = replace(
            shares,
            cells_ac=differs.shares.cells_ac,
            cells_dc=differs.shares.cells_dc,
            cells=differs.shares.cells,
        )
    scale = sun.scale_for(plant, options.efficiencies) * differs.factor

    def dc_kw(arrays: tuple[PvArray, ...]) -> "Series":
        power = np.zeros(steps_of(sun.weather.step_minutes))
        for array in arrays:
            power += (
                array.peak_w / 1000 * dc_w_per_kwp(sun.weather, array.tilt_deg, array.azimuth_deg)
            )
        return in_steps(power * (scale / 1000), sun.weather.step_minutes, step)

    def share(dc: "Series", rated_w: float) -> "Series | float":
        if not shares.part_load:
            return shares.inverter
        return share_let_through(dc * 1000, rated_w, shares.inverter)

    separate = []
    for unit in plant.pv:
        dc = dc_kw(unit.arrays)
        separate.append(SeparatePv(dc, unit.rated_w / 1000, share(dc, unit.rated_w)))
    shared = None
    if plant.shared:
        # Several are followed as one with the sum of their ratings.
        rated_w = sum(unit.rated_w for unit in plant.shared)
        dc = sum((dc_kw(unit.arrays) for unit in plant.shared), np.zeros(steps_of(step)))
        cells = _together([unit.cells for unit in plant.shared])
        shared = SharedUnit(dc, rated_w / 1000, share(dc, rated_w), cells)
    own = None
    if plant.storage:
        own = _together(
            [
                replace(
                    unit.cells,
                    charge_w=min(unit.cells.charge_w, unit.rated_w),
                    discharge_w=min(unit.cells.discharge_w, unit.rated_w),
                )
                for unit in plant.storage
            ]
        )
    stores = [unit.cells for unit in plant.with_cells]
    return StepInputs(
        hours=step / 60,
        load_kw=load.in_steps(step) * differs.use + options.standby_w / 1000,
        separate=tuple(separate),
        shared=shared,
        cells=own,
        shares=shares,
        cheap=_marked(options.cheap, step) if any(c.from_network for c in stores) else None,
        cheap_to=options.cheap_to,
        sell=_marked(options.sell, step) if any(c.to_network for c in stores) else None,
    )


def _together(cells: list[Cells]) -> CellLimits:
    return CellLimits(
        sum(each.usable_wh for each in cells) / 1000,
        sum(each.charge_w for each in cells) / 1000,
        sum(each.discharge_w for each in cells) / 1000,
        sum(each.charge_w for each in cells if each.from_network) / 1000,
        sum(each.discharge_w for each in cells if each.to_network) / 1000,
    )


def _marked(window: Window | None, step: int) -> "Flags | None":
    return None if window is None else _inside(window, step)


def _inside(window: Window, step: int) -> "Flags":
    """Mark the steps that begin inside a window; windows are in local time."""
    import numpy as np

    minute = (np.arange(steps_of(step)) * step) % 1440
    forward, back = summer_steps(step)
    minute[forward:back] = (minute[forward:back] + 60) % 1440
    by_minute = np.array([window.holds(each) for each in range(1440)])
    inside: Flags = by_minute[minute]
    return inside


def _flows(
    plant: Plant, sun: Sunshine, load: Load, options: Options, step: int, spread: _Spread | None
) -> "Flows":
    flows = dispatch(_inputs(plant, sun, load, options, step, spread), _kw(plant.export_limit_w))
    check(flows)
    return flows


def _money(flows: "Flows", options: Options) -> Money:
    return money_of(flows, options, lambda window: _inside(window, options.step_minutes))


def _cases(plant: Plant, sun: Sunshine, load: Load, options: Options) -> tuple[Case, Case]:
    """Calculate a low and a high case: sun, losses and cells together at the likely extremes."""
    found = []
    for name, of_sun, loss, shares in (
        ("low", LEAST_SUN, MOST_LOSS, LOW_SHARES),
        ("high", MOST_SUN, LEAST_LOSS, HIGH_SHARES),
    ):
        measured = sun.measured_kwh is not None
        factor = _factor(sun, of_sun, loss)
        says = f"sun at {of_sun:.0%} of this year"
        if not measured:
            says += f", losses of {loss:.0%} in place of {LOSS:.1%} (both our choice)"
        if plant.storage or plant.shared:
            says += (
                f"; cells of {shares.cells:.1%}, their conversions "
                f"{shares.cells_dc if plant.shared and not plant.storage else shares.cells_ac:.1%} "
                "one way (ends of published ranges)"
            )
        spread = _Spread(factor, shares)
        flows = _flows(plant, sun, load, options, options.step_minutes, spread)
        found.append(Case(name, says, figures_of(flows), _money(flows, options)))
    return found[0], found[1]


def _factor(sun: Sunshine, of_sun: float, loss: float) -> float:
    """The output of panels beside the year's. A measured yield already includes its losses."""
    return of_sun if sun.measured_kwh is not None else of_sun * (1 - loss) / (1 - LOSS)


def _varied(plant: Plant, sun: Sunshine, load: Load, options: Options) -> tuple[Varied, ...]:
    """The money of the year with one assumption at a time at the ends of its band.

    Empty without both prices.
    """
    prices = options.prices
    if prices.import_pence is None or prices.export_pence is None:
        return ()
    bands: list[tuple[str, str, _Spread, _Spread]] = []
    if plant.peak_w > 0:
        losses = (
            ""
            if sun.measured_kwh is not None
            else f", losses of {100 * MOST_LOSS:.0f} % or {100 * LEAST_LOSS:.0f} %"
        )
        low, high = _factor(sun, LEAST_SUN, MOST_LOSS), _factor(sun, MOST_SUN, LEAST_LOSS)
        words = f"sun {100 * (1 - LEAST_SUN):.0f} % less or more{losses}"
        bands.append(("what the panels make", words, _Spread(low), _Spread(high)))
    less, more = _Spread(use=1 - USE_BAND), _Spread(use=1 + USE_BAND)
    bands.append(("what the house uses", f"{100 * USE_BAND:.0f} % less or more", less, more))
    if plant.with_cells:
        bands.append(
            (
                "what the cells pass on",
                "ends of published ranges",
                _Spread(shares=LOW_SHARES),
                _Spread(shares=HIGH_SHARES),
            )
        )

    def money(spread: _Spread) -> Money:
        flows = _flows(plant, sun, load, options, options.step_minutes, spread)
        return replace(_money(flows, options), bought=(), sold=())

    return tuple(Varied(what, band, money(low), money(high)) for what, band, low, high in bands)


def _finer(plant: Plant, sun: Sunshine, load: Load, options: Options, figures: Figures) -> Finer:
    """Calculate the same year in quarter hours, where sun or use has finer data."""
    known = min(sun.weather.step_minutes, load.step_minutes)
    step = options.step_minutes
    if step == FINEST:
        return Finer(finer_sentence(step, None, None, sun, load), None)
    if not options.finer or known >= step:
        return Finer(finer_sentence(step, figures, None, sun, load), None)
    finest = figures_of(_flows(plant, sun, load, options, FINEST, None))
    return Finer(finer_sentence(step, figures, finest, sun, load), finest)

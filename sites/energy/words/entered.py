"""Words for the inputs of a premises' energy years."""

from collections.abc import Iterable

from connections.energy.load import kwh_of_loads
from connections.energy.options import Options
from connections.energy.weather.regions import region
from connections.facts.site import Site
from connections.rules.figures import listed
from sites.energy.models import EnergyFile, EnergyInputs
from sites.energy.reading.years import options_of

_LONGEST_NAME = 40


def entered_words(inputs: EnergyInputs) -> tuple[str, ...]:
    """Return sentences on region and sun, use, windows, prices and steps."""
    where = region(inputs.region)
    sun = f"Region {where.number}, {where.name}"
    if inputs.irradiance_file is not None:
        sun += f"; irradiance of the file {named(inputs.irradiance_file)}"
    if inputs.measured_yield_kwh is not None:
        sun += f"; measured: {inputs.measured_yield_kwh:,} kWh a year"
    if inputs.meter_file is not None:
        use = f"use as metered, in the file {named(inputs.meter_file)}"
    else:
        use = f"a use of {inputs.yearly_use_kwh:,} kWh a year"
    options = options_of(inputs)
    return (
        f"{sun}; {use}.",
        *window_words(options),
        *price_words(options),
        f"Steps of {options.step_minutes} minutes.",
    )


def use_words(inputs: EnergyInputs, sites: Iterable[Site]) -> tuple[str, ...]:
    """Ask whether the yearly use holds the heat pumps and charge points of a design, where these
    alone commonly use as much; empty otherwise, and for metered use."""
    use = inputs.yearly_use_kwh
    loads = max((kwh_of_loads(site) for site in sites), key=lambda of: sum(of.values()), default={})
    if use is None or not loads or sum(loads.values()) < use:
        return ()
    return (
        f"Does the use of {use:,} kWh hold {listed(list(loads))}? Loads like these commonly take "
        f"about {sum(loads.values()):,} kWh a year by themselves (common practice, no source).",
    )


def named(file: EnergyFile) -> str:
    """Return the name of a file in quotes, cut if long."""
    name = file.name
    return f"“{name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 1] + '…'}”"


def window_words(options: Options) -> tuple[str, ...]:
    """Return the windows in a sentence; empty if there are none."""
    parts = []
    if options.cheap is not None:
        parts.append(f"cells are filled from the network from {options.cheap.words()}")
    if options.sell is not None:
        parts.append(f"emptied into it from {options.sell.words()}")
        if len(parts) == 1:
            parts = [f"cells are {parts[0].replace('into it', 'into the network')}"]
    if not parts:
        return ()
    said = " and ".join(parts)
    return (f"{said[0].upper()}{said[1:]}, by the clock on the wall.",)


def price_words(options: Options) -> tuple[str, ...]:
    """Return the prices in sentences; empty if there are none."""
    prices = options.prices
    said = [
        f"{pence(price)} {what}"
        for price, what in (
            (prices.import_pence, "bought"),
            (prices.cheap_pence, "bought in the cheap window"),
            (prices.export_pence, "exported"),
            (prices.sell_pence, "exported in the selling window"),
        )
        if price is not None
    ]
    said += [
        f"{pence(each.pence)} {what} from {each.window.words()}"
        for what, hours in (("bought", prices.import_hours), ("exported", prices.export_hours))
        for each in hours
    ]
    standing = prices.standing_pence
    return (
        *((f"Prices entered, for each kWh: {', '.join(said)}.",) if said else ()),
        *(() if standing is None else (f"Standing charge: {pence(standing)} a day.",)),
    )


def pence(price: float) -> str:
    """Return a price in words: "26.5 p"."""
    return f"{price:g} p"

"""Statement of a year's method, in sentences for the reader, and what longer steps hid.

Source of panels and inverters: the PVWatts model as pvlib 0.16 has it, with its defaults.
"""

from typing import TYPE_CHECKING

from connections.energy.efficiencies import Efficiencies
from connections.energy.load import Load
from connections.energy.options import Options
from connections.energy.plant import Plant
from connections.energy.result import Figures
from connections.energy.weather.pv import ALBEDO, LOSS, POWER_PER_KELVIN

if TYPE_CHECKING:
    from connections.energy.weather.sunshine import Sunshine

_HOURLY = (
    "Hourly averages understate what a limit takes: with measured quarter hours of one house "
    "(German, 10 kW, limit 3.68 kW, no cells) hours showed 3.9 % less of it."
)
"""Computed from the open data set SimBench, 1-LV-rural1--0-sw, PV5 and H0-A."""


def method_of(
    plant: Plant, sun: "Sunshine", load: Load, options: Options, finer: str
) -> tuple[str, ...]:
    """The statement of method, sentence by sentence."""
    shares = options.efficiencies
    told = [*sun.told]
    if plant.peak_w > 0:
        told.append(
            "Panels: solar position, transposition to the roof after Hay and Davies (the choice "
            "alone moves a year's yield by 4 to 5 %), reflection, cell temperature of an open rack "
            f"and a published model of the panels; losses of {LOSS:.1%} (a published default), "
            f"{POWER_PER_KELVIN * 100:g} % per kelvin, ground that reflects {ALBEDO:.0%}. "
            "Shade of trees and houses is in it only with that default's 3 %."
        )
        if options.efficiencies.part_load:
            told.append(
                f"Inverters: a published part-load curve, {shares.inverter:.0%} at the rating."
            )
        else:
            told.append(f"Inverters: {shares.inverter:.0%} at every load (a simplification).")
    told += load.told
    told += _cells(plant, shares)
    told += _windows(plant, options)
    told += _limit(plant)
    if options.standby_w:
        told.append(f"Standby: {options.standby_w:g} W at every moment, added to the use.")
    told += plant.told
    told.append(
        f"Steps of {options.step_minutes} minutes over 365 days in UTC, with the weekdays and the "
        f"summer time of a common year. {finer}"
    )
    if options.cases:
        told.append(
            "Low and high case: sun 5 % less and more than this year (our choice; years in Great "
            "Britain lie about 4 % apart, from memory), losses of 18 and 10 % (our choice), and "
            "cells at the ends of the published ranges of devices, all together. They do not cover "
            "another use of the house, shade, or an error of the method."
        )
    told.append(
        "Checked on this run: energy in equals energy out, stored and lost to one in a million; "
        "export keeps the limit; cells stay between empty and full."
    )
    return tuple(told)


def _cells(plant: Plant, shares: Efficiencies) -> list[str]:
    told = []
    if plant.storage or plant.shared:
        parts = []
        if plant.storage:
            parts.append(
                f"{shares.cells_ac:.0%} each way between AC and cells with their own inverter"
            )
        if plant.shared:
            parts.append(
                f"{shares.cells_dc:.0%} each way between a hybrid inverter's DC side and its cells"
            )
        told.append(
            "Cells fill from the sun that the house does not use and empty when it lacks some. "
            f"They pass on {shares.cells:.0%} in and out, with {' and '.join(parts)}; they begin "
            "the year empty, keep their capacity, and follow the use at once."
        )
    for what, units in (
        ("sets of cells with their own inverter", plant.storage),
        ("hybrid inverters", plant.shared),
    ):
        if len(units) > 1:
            told.append(f"The {len(units)} {what} are followed as one with the sums of all.")
    return told


def _windows(plant: Plant, options: Options) -> list[str]:
    told = []
    if not (plant.storage or plant.shared):
        if options.cheap is not None or options.sell is not None:
            told.append(
                "Windows for cells were given, but this design has no cells; prices hold in them "
                "all the same."
            )
        return told
    units = plant.with_cells
    if options.cheap is not None:
        told += [
            f"The cells behind {unit.id} are not filled from the network."
            for unit in units
            if not unit.cells.from_network
        ]
        if any(unit.cells.from_network for unit in units):
            told.append(
                f"From {options.cheap.words()} cells fill from the network up to "
                f"{options.cheap_to:.0%} and do not empty."
            )
    if options.sell is not None:
        told += [
            f"The cells behind {unit.id} do not export, so they are not sold from."
            for unit in units
            if not unit.cells.to_network
        ]
        if any(unit.cells.to_network for unit in units):
            told.append(
                f"From {options.sell.words()} cells do not fill; they serve the house and then "
                "empty into the network, as far as the export limit lets them."
            )
    return told


def _limit(plant: Plant) -> list[str]:
    if plant.export_limit_w is None:
        return ["Export is not limited."]
    return [
        f"Export is held to {plant.export_limit_w / 1000:g} kW at the supply, on the sum of its "
        "phases, after the house and the cells have had their part. Phases are not followed one by "
        "one: where plant and use lie on different phases, a limit on each phase takes more."
    ]


def finer_sentence(
    step: int, figures: Figures | None, finest: Figures | None, sun: "Sunshine", load: Load
) -> str:
    """Say what the step length hid, with figures where the same year was run finer."""
    if figures is None:
        return "This is the shortest step offered; what happens within it is averaged away."
    if finest is None:
        known = sun.weather.step_minutes
        return (
            f"The sun is known in steps of {known} minutes, so what shorter ones would show cannot "
            f"be told from it. {_HOURLY}"
        )
    coarse = "half hours" if step == 30 else "hours"
    if finest.lost > 0.05:
        part = 100 * (finest.lost - figures.lost) / finest.lost
        less = "less" if part >= 0 else "more"
        limit = (
            f"the limit takes {finest.lost:,.1f} kWh in quarter hours of the same year and "
            f"{figures.lost:,.1f} in {coarse}: these show {abs(part):.1f} % {less}"
        )
    else:
        limit = "the limit takes nothing worth naming in either"
    sentence = (
        f"What longer steps hid: {limit}; imports are {finest.imported:,.0f} kWh in quarter hours "
        f"and {figures.imported:,.0f} in {coarse}."
    )
    unknown = [
        what
        for what, at in (("sun", sun.weather.step_minutes), ("use", load.step_minutes))
        if at > 15
    ]
    if unknown:
        sentence += f" The {' and the '.join(unknown)} is known in longer steps only."
    if sun.weather.step_minutes == 15:
        sentence += " How the sun changes within an hour is modelled, not measured."
    return sentence

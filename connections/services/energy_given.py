"""What a person enters for the energy years of a premises, and whether it can be."""

from decimal import Decimal
from uuid import UUID

from msgspec import Struct

from connections.energy.clock import STEPS_MINUTES
from connections.energy.faults import EnergyError
from connections.energy.load import LARGEST_KWH
from connections.energy.options import MOST_PENCE, Options, Window
from connections.energy.sunshine import LEAST_PER_KWP, MOST_PER_KWP
from connections.selectors.energy_years import OFFERED
from connections.services.refusals import RefusedError


class Given(Struct, frozen=True):
    """What a person enters.

    Use is `yearly_use_kwh`, or as in the file with the key `meter_key`; exactly one of them. Light
    is that of the file `irradiance_key`, or of the typical year. A measured yield [kWh] comes with
    the peak of its panels [W], or neither. Prices are pence a kWh.
    """

    region: int
    yearly_use_kwh: int | None = None
    measured_yield_kwh: int | None = None
    measured_peak_w: int | None = None
    meter_key: UUID | None = None
    irradiance_key: UUID | None = None
    step_minutes: int = 30
    cheap: Window | None = None
    sell: Window | None = None
    import_pence: Decimal | None = None
    export_pence: Decimal | None = None
    cheap_pence: Decimal | None = None
    sell_pence: Decimal | None = None


def check_given(given: Given) -> None:
    """Raises RefusedError naming the first box at fault; files are looked for by who enters it."""
    if given.region not in OFFERED:
        raise RefusedError("Pick a region of the list.", "region")
    _check_use(given)
    _check_yield(given)
    if given.step_minutes not in STEPS_MINUTES:
        raise RefusedError("Pick steps of 15, 30 or 60 minutes.", "step_minutes")
    _check_windows(given)
    _check_prices(given)


def _check_use(given: Given) -> None:
    use = given.yearly_use_kwh
    if given.meter_key is not None:
        if use is not None:
            raise RefusedError(
                "Give the use of a year or a file of meter readings, not both.", "yearly_use_kwh"
            )
        return
    if use is None:
        raise RefusedError(
            "Give the use of a year in kWh, or a file of meter readings.", "yearly_use_kwh"
        )
    if not 0 <= use <= LARGEST_KWH:
        raise RefusedError(f"Give 0 to {LARGEST_KWH:,} kWh.", "yearly_use_kwh")


def _check_yield(given: Given) -> None:
    measured, peak_w = given.measured_yield_kwh, given.measured_peak_w
    if measured is None and peak_w is None:
        return
    if measured is None:
        raise RefusedError(
            "Give the yield that was measured, or leave out its peak power.", "measured_yield_kwh"
        )
    if not peak_w or peak_w < 0:
        raise RefusedError("Give the peak power of the panels that were measured.", "measured_kwp")
    per_kwp = measured / peak_w * 1000
    if not LEAST_PER_KWP <= per_kwp <= MOST_PER_KWP:
        raise RefusedError(
            f"{measured:,} kWh from {peak_w / 1000:g} kWp is {per_kwp:,.0f} kWh for each kWp; "
            f"{LEAST_PER_KWP} to {MOST_PER_KWP:,} can be. Check the figure, its unit and the peak "
            "power.",
            "measured_yield_kwh",
        )


def _check_windows(given: Given) -> None:
    for name, window in (("cheap", given.cheap), ("sell", given.sell)):
        if window is None:
            continue
        box = f"{name}_from"
        try:
            Options(cheap=window if name == "cheap" else None,
                    sell=window if name == "sell" else None).checked()  # fmt: skip
        except EnergyError as fault:
            raise RefusedError(str(fault), box) from None
        if not any(window.holds(minute) for minute in range(0, 1440, given.step_minutes)):
            raise RefusedError(
                f"No step of {given.step_minutes} minutes begins from {window.words()}: widen the "
                "window, or pick shorter steps.",
                box,
            )
    try:
        Options(cheap=given.cheap, sell=given.sell).checked()
    except EnergyError as fault:
        raise RefusedError(str(fault), "sell_from") from None


def _check_prices(given: Given) -> None:
    for box in ("import_pence", "export_pence", "cheap_pence", "sell_pence"):
        price: Decimal | None = getattr(given, box)
        if price is not None and not -MOST_PENCE <= price <= MOST_PENCE:
            raise RefusedError(
                f"A price of {price:,} pence a kWh cannot be: give -{MOST_PENCE:,} to "
                f"{MOST_PENCE:,}.",
                box,
            )
    for price, window, box, of_window in (
        (given.cheap_pence, given.cheap, "cheap_pence", "in which cells are filled"),
        (given.sell_pence, given.sell, "sell_pence", "in which cells are emptied"),
    ):
        if price is not None and window is None:
            raise RefusedError(
                f"This price holds in the window {of_window}: give the two times of the window, or "
                "leave the price out.",
                box,
            )
    for in_window, common, box, when in (
        (given.cheap_pence, given.import_pence, "import_pence", "bought outside the cheap window"),
        (given.sell_pence, given.export_pence, "export_pence",
         "exported outside the selling window"),
    ):  # fmt: skip
        if in_window is not None and common is None:
            raise RefusedError(
                f"Give the price of what is {when} too, or leave the window’s price out.", box
            )

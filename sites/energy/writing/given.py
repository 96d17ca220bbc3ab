"""Inputs of a premises' energy years as entered, and their checks."""

from collections.abc import Iterator
from decimal import Decimal
from uuid import UUID

from msgspec import Struct

from connections.energy.energy_errors import EnergyError
from connections.energy.load import LARGEST_KWH
from connections.energy.options import MOST_PENCE, HourPrice, Options, Window, check_hours
from connections.energy.steps.clock import STEPS_MINUTES
from connections.energy.weather.sunshine import LEAST_PER_KWP, MOST_PER_KWP
from sites.energy.models import EnergyInputs
from sites.energy.reading.years import OFFERED, options_of
from sites.house.refusals import RefusedError


class HourPence(Struct, frozen=True):
    """A price as entered [pence/kWh] that holds in some hours of every day."""

    window: Window
    pence: Decimal


class Given(Struct, frozen=True):
    """Inputs as a person enters them.

    Use is `yearly_use_kwh`, or that of the file with the key `meter_key`; exactly one of them.
    Light is that of the file `irradiance_key`, or that of the typical year. A measured yield [kWh]
    comes with the peak of its panels [W], or neither is given. Prices are in pence/kWh, and
    `standing_pence` in pence/day.
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
    import_hours: tuple[HourPence, ...] = ()
    export_hours: tuple[HourPence, ...] = ()
    standing_pence: Decimal | None = None


class GivenFault(Struct, frozen=True):
    """An impossible value: the box to correct, the message, and the other boxes involved."""

    box: str
    message: str
    others: tuple[str, ...] = ()


def given_of(inputs: EnergyInputs) -> Given:
    """Return earlier inputs as if entered now."""
    options = options_of(inputs)
    return Given(
        region=inputs.region,
        yearly_use_kwh=inputs.yearly_use_kwh,
        measured_yield_kwh=inputs.measured_yield_kwh,
        measured_peak_w=inputs.measured_peak_w,
        meter_key=inputs.meter_file.key if inputs.meter_file is not None else None,
        irradiance_key=inputs.irradiance_file.key if inputs.irradiance_file is not None else None,
        step_minutes=inputs.step_minutes,
        cheap=options.cheap,
        sell=options.sell,
        import_pence=inputs.import_pence,
        export_pence=inputs.export_pence,
        cheap_pence=inputs.cheap_pence,
        sell_pence=inputs.sell_pence,
        import_hours=_hours(inputs.import_hours),
        export_hours=_hours(inputs.export_hours),
        standing_pence=inputs.standing_pence,
    )


def _hours(rows: list[list[int | str]]) -> tuple[HourPence, ...]:
    return tuple(
        HourPence(Window(int(begins), int(ends)), Decimal(price)) for begins, ends, price in rows
    )


def check_given(given: Given) -> None:
    """Raises RefusedError naming the first box at fault; callers check the files."""
    for fault in faults_in(given):
        raise RefusedError(fault.message, fault.box)


def faults_in(given: Given) -> Iterator[GivenFault]:
    """Yield every impossible value, in the order of the boxes."""
    if given.region not in OFFERED:
        yield GivenFault("region", "Pick a region of the list.")
    yield from _of_use(given)
    yield from _of_yield(given)
    if given.step_minutes not in STEPS_MINUTES:
        yield GivenFault("step_minutes", "Pick steps of 15, 30 or 60 minutes.")
    yield from _of_windows(given)
    yield from _of_prices(given)
    yield from _of_hours(given)


def _of_use(given: Given) -> Iterator[GivenFault]:
    use, box, files = given.yearly_use_kwh, "yearly_use_kwh", ("meter_file", "meter_clock")
    if given.meter_key is not None:
        if use is not None:
            yield GivenFault(
                box, "Give the use of a year or a file of meter readings, not both.", files
            )
    elif use is None:
        yield GivenFault(box, "Give the use of a year in kWh, or a file of meter readings.", files)
    elif not 0 <= use <= LARGEST_KWH:
        yield GivenFault(box, f"Give 0 to {LARGEST_KWH:,} kWh.")


def _of_yield(given: Given) -> Iterator[GivenFault]:
    measured, peak_w = given.measured_yield_kwh, given.measured_peak_w
    if measured is None and peak_w is None:
        return
    of_yield, of_peak = "measured_yield_kwh", "measured_kwp"
    if measured is None:
        yield GivenFault(
            of_yield, "Give the yield that was measured, or leave out its peak power.", (of_peak,)
        )
    elif measured <= 0:
        yield GivenFault(of_yield, "Give a yield of more than nothing, or leave it empty.")
    if not peak_w or peak_w < 0:
        yield GivenFault(of_peak, "Give the peak power of the panels that were measured.")
    elif measured is not None and measured > 0:
        per_kwp = measured / peak_w * 1000
        if not LEAST_PER_KWP <= per_kwp <= MOST_PER_KWP:
            yield GivenFault(
                of_yield,
                f"{measured:,} kWh from {peak_w / 1000:g} kWp is {per_kwp:,.0f} kWh for each kWp; "
                f"{LEAST_PER_KWP} to {MOST_PER_KWP:,} can be. Check the figure, its unit and the "
                "peak power.",
                (of_peak,),
            )


def _of_windows(given: Given) -> Iterator[GivenFault]:
    each_can_be = True
    for name, window in (("cheap", given.cheap), ("sell", given.sell)):
        if window is None:
            continue
        box, ends = f"{name}_from", (f"{name}_to",)
        try:
            Options(cheap=window if name == "cheap" else None,
                    sell=window if name == "sell" else None).checked()  # fmt: skip
        except EnergyError as fault:
            each_can_be = False
            yield GivenFault(box, str(fault), ends)
            continue
        steps = given.step_minutes
        if steps in STEPS_MINUTES and not any(window.holds(n) for n in range(0, 1440, steps)):
            yield GivenFault(
                box,
                f"No step of {steps} minutes begins from {window.words()}: widen the window, or "
                "pick shorter steps.",
                (*ends, "step_minutes"),
            )
    if not each_can_be:
        return
    try:
        Options(cheap=given.cheap, sell=given.sell).checked()
    except EnergyError as fault:
        yield GivenFault("sell_from", str(fault), ("sell_to", "cheap_from", "cheap_to"))


def _of_prices(given: Given) -> Iterator[GivenFault]:
    for box in ("import_pence", "export_pence", "cheap_pence", "sell_pence"):
        price: Decimal | None = getattr(given, box)
        if price is not None and not -MOST_PENCE <= price <= MOST_PENCE:
            yield GivenFault(
                box,
                f"A price of {price:,} pence a kWh cannot be: give -{MOST_PENCE:,} to "
                f"{MOST_PENCE:,}.",
            )
    standing = given.standing_pence
    if standing is not None and not 0 <= standing <= MOST_PENCE:
        yield GivenFault("standing_pence", f"Give 0 to {MOST_PENCE:,} pence a day.")
    for price, window, name, of_window in (
        (given.cheap_pence, given.cheap, "cheap", "in which cells are filled"),
        (given.sell_pence, given.sell, "sell", "in which cells are emptied"),
    ):
        if price is not None and window is None:
            yield GivenFault(
                f"{name}_pence",
                f"This price holds in the window {of_window}: give the two times of the window, or "
                "leave the price out.",
                (f"{name}_from", f"{name}_to"),
            )
    for hours, common, box, other, what in (
        (given.import_hours, given.import_pence, "import_pence", "import_hours", "bought"),
        (given.export_hours, given.export_pence, "export_pence", "export_hours", "exported"),
    ):
        if hours and common is None:
            yield GivenFault(
                box,
                f"Give the price of what is {what} in all other hours too, or leave those of some "
                "hours out.",
                (other,),
            )
    for in_window, common, box, other, when in (
        (given.cheap_pence, given.import_pence, "import_pence", "cheap_pence",
         "bought outside the cheap window"),
        (given.sell_pence, given.export_pence, "export_pence", "sell_pence",
         "exported outside the selling window"),
    ):  # fmt: skip
        if in_window is not None and common is None:
            yield GivenFault(
                box,
                f"Give the price of what is {when} too, or leave the window’s price out.",
                (other,),
            )


def _of_hours(given: Given) -> Iterator[GivenFault]:
    """Yield hours that cannot be, or that overlap each other or a window with a price."""
    steps = given.step_minutes
    for box, hours, window, price, what, others in (
        ("import_hours", given.import_hours, given.cheap, given.cheap_pence, "bought",
         ("cheap_from", "cheap_to", "cheap_pence")),
        ("export_hours", given.export_hours, given.sell, given.sell_pence, "exported",
         ("sell_from", "sell_to", "sell_pence")),
    ):  # fmt: skip
        if not hours:
            continue
        every = [HourPrice(each.window, float(each.pence)) for each in hours]
        if window is not None and price is not None:
            every.append(HourPrice(window, float(price)))
        try:
            check_hours(what, every)
        except EnergyError as fault:
            yield GivenFault(box, str(fault), others)
            continue
        for each in hours:
            if steps in STEPS_MINUTES and not any(
                each.window.holds(minute) for minute in range(0, 1440, steps)
            ):
                yield GivenFault(
                    box,
                    f"No step of {steps} minutes begins from {each.window.words()}: widen the "
                    "hours, or pick shorter steps.",
                    ("step_minutes",),
                )

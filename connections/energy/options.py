"""Options of a year: step, windows, prices, efficiencies."""

from collections.abc import Sequence

from msgspec import Struct

from connections.energy.efficiencies import Efficiencies
from connections.energy.energy_errors import EnergyError
from connections.energy.steps.clock import steps_of

MOST_PENCE = 1000
"""A price further from 0 than this [pence/kWh] counts as a slip of unit. Our choice."""


class Window(Struct, frozen=True):
    """Daily hours in local time, in minutes after midnight; may pass midnight."""

    from_minute: int
    to_minute: int

    def checked(self, what: str) -> "Window":
        """Returns itself. Raises EnergyError for hours outside a day or of no length."""
        if not (0 <= self.from_minute < 1440 and 0 <= self.to_minute <= 1440):
            raise EnergyError(f"The {what} must lie between 00:00 and 24:00.")
        if self.from_minute == self.to_minute % 1440:
            raise EnergyError(f"The {what} begins and ends at the same time: give two times.")
        return self

    def holds(self, minute: int) -> bool:
        """Whether a minute after midnight lies in it."""
        if self.from_minute < self.to_minute:
            return self.from_minute <= minute < self.to_minute
        return minute >= self.from_minute or minute < self.to_minute

    def words(self) -> str:
        """The hours in words: "00:30 to 05:30"."""
        times = (self.from_minute, self.to_minute)
        return " to ".join(f"{minute // 60:02d}:{minute % 60:02d}" for minute in times)


class HourPrice(Struct, frozen=True):
    """A price [pence/kWh] of the same hours every day."""

    window: Window
    pence: float


class Prices(Struct, frozen=True):
    """Prices of energy [pence/kWh]; None is not known, and there is then no sum of money.

    `cheap_pence` is the price of all import in the window that fills cells. `sell_pence` is that of
    all export in the window that empties them. Both hold in a house without cells too. Where one is
    None, its window has the common price. `import_hours` and `export_hours` are prices of other
    hours of the day. `standing_pence` is the standing charge of the supply [pence/day].
    """

    import_pence: float | None = None
    export_pence: float | None = None
    cheap_pence: float | None = None
    sell_pence: float | None = None
    import_hours: tuple[HourPrice, ...] = ()
    export_hours: tuple[HourPrice, ...] = ()
    standing_pence: float | None = None


class Options(Struct, frozen=True):
    """How a year is calculated.

    In the window `cheap`, cells fill from the network up to `cheap_to` of their usable energy and
    do not empty. In the window `sell` they empty into the network. `standby_w` is the constant use
    of the equipment itself [W]. `cases` adds the low and the high case, `finer` a run in quarter
    hours beside a coarser one.
    """

    step_minutes: int = 30
    efficiencies: Efficiencies = Efficiencies()
    cheap: Window | None = None
    cheap_to: float = 1.0
    sell: Window | None = None
    prices: Prices = Prices()
    standby_w: float = 0.0
    cases: bool = True
    finer: bool = True

    @property
    def import_prices(self) -> tuple[HourPrice, ...]:
        """Every price of import that holds in some hours only."""
        return _with(self.prices.import_hours, self.cheap, self.prices.cheap_pence)

    @property
    def export_prices(self) -> tuple[HourPrice, ...]:
        """Every price of export that holds in some hours only."""
        return _with(self.prices.export_hours, self.sell, self.prices.sell_pence)

    def checked(self) -> "Options":
        """Returns itself. Raises EnergyError naming an impossible option."""
        steps_of(self.step_minutes)
        self.efficiencies.checked()
        if self.cheap is not None:
            self.cheap.checked("window of the cheap rate")
        if self.sell is not None:
            self.sell.checked("window in which cells are sold from")
        if self.cheap is not None and self.sell is not None:
            # Two windows overlap if one begins inside the other.
            starts = (
                self.cheap.holds(self.sell.from_minute),
                self.sell.holds(self.cheap.from_minute),
            )
            if any(starts):
                raise EnergyError(
                    f"Cells cannot be filled from {self.cheap.words()} and emptied from "
                    f"{self.sell.words()}: the two windows overlap. Move one of them."
                )
        if not 0 < self.cheap_to <= 1:
            raise EnergyError("Cells are filled from the network to between 0 and 100 %.")
        if not 0 <= self.standby_w <= 1000:
            raise EnergyError(f"A standby of {self.standby_w:g} W cannot be: give 0 to 1000 W.")
        for name in ("import_pence", "export_pence", "cheap_pence", "sell_pence"):
            price = getattr(self.prices, name)
            if price is not None and not -MOST_PENCE <= price <= MOST_PENCE:
                raise EnergyError(f"A price of {price:g} pence a kWh cannot be ({name}).")
        for which, hours in (("bought", self.import_prices), ("exported", self.export_prices)):
            check_hours(which, hours)
        return self


def check_hours(which: str, hours: Sequence[HourPrice]) -> None:
    """Raises EnergyError where a price of some hours cannot be, or two hold at the same time.

    `which` says in words what they are prices of.
    """
    held: dict[int, Window] = {}
    for each in hours:
        window = each.window.checked(f"hours of what is {which}")
        if not -MOST_PENCE <= each.pence <= MOST_PENCE:
            raise EnergyError(f"A price of {each.pence:g} pence a kWh cannot be.")
        for minute in (minute for minute in range(1440) if window.holds(minute)):
            other = held.setdefault(minute, window)
            if other is not window:
                raise EnergyError(
                    f"What is {which} has two prices at {minute // 60:02d}:{minute % 60:02d}: from "
                    f"{other.words()} and from {window.words()}. Move one of them."
                )


def _with(
    hours: tuple[HourPrice, ...], window: Window | None, pence: float | None
) -> tuple[HourPrice, ...]:
    if window is None or pence is None:
        return hours
    return (HourPrice(window, pence), *hours)

"""Counts what a design needs, and prices it line by line."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from connections.facts.defaults import (
    known,
    part_status,
    quantity_of,
    rating,
    registered_w,
    status_of,
)
from connections.facts.site import Array, EnergySource, Site, Unit
from connections.prices.price_list import WORDS, Kind, Price, PriceList, Vat
from connections.rules.deciding_facts import limit_of
from connections.rules.figures import kilowatts, plural

ALWAYS = (
    "Work on the network that the operator asks for, and what is found on site.",
    "Interest, repairs, and what is replaced in later years.",
)
"""Never part of a cost."""

_OF_SOURCE: dict[EnergySource, Kind] = {
    "pv": "pv-inverter",
    "storage": "battery-inverter",
    "pv+storage": "hybrid-inverter",
}


class Line(Struct, frozen=True):
    """One line of a cost: so many hundredths of what `each_minor` is for; `minor` without VAT."""

    what: str
    amount: int
    each: str
    each_minor: int
    minor: int
    vat: Vat


class VatLine(Struct, frozen=True):
    """VAT of one class on the net sum of its lines; `rate` in hundredths of a percent."""

    vat: Vat
    rate: int
    net_minor: int
    minor: int


class Cost(Struct, frozen=True):
    """What a design costs [minor units], and in sentences what is not counted."""

    currency: str
    lines: tuple[Line, ...]
    vat: tuple[VatLine, ...]
    not_counted: tuple[str, ...]

    @property
    def net_minor(self) -> int:
        """The sum without VAT."""
        return sum(line.minor for line in self.lines)

    @property
    def gross_minor(self) -> int:
        """The sum with the VAT that is known."""
        return self.net_minor + sum(line.minor for line in self.vat)


def share(amount: int, whole: int, of: int) -> int:
    """`amount` x `whole` / `of`, rounded to whole units with halves up; none is negative."""
    return (2 * amount * whole + of) // (2 * of)


def cost_of(
    site: Site, *, waits: bool | None, amounts: Mapping[str, int], prices: PriceList
) -> Cost:
    """The cost of what a design adds to its site.

    `waits` says whether the operator's answer is waited for, so that its fee is due; None where
    the procedure is not known. `amounts` says how many of a price that no fact counts, by its
    label, in hundredths; what it leaves out takes the usual number.

    VAT is rounded once for each class, halves up (our choice).
    """
    costing = _Costing(site, prices)
    costing.devices()
    costing.rest(waits, amounts)
    net: dict[Vat, int] = {}
    for line in costing.lines:
        net[line.vat] = net.get(line.vat, 0) + line.minor
    vat = []
    for name, minor in net.items():
        rate = prices.rates.get(name)
        if rate is not None:
            vat.append(VatLine(name, rate, minor, share(minor, rate, 10_000)))
        elif name != "outside":
            costing.not_counted.append(f"VAT at the {name} rate: no rate is entered.")
    return Cost(
        currency=prices.currency,
        lines=tuple(costing.lines),
        vat=tuple(vat),
        not_counted=(*costing.not_counted, *ALWAYS),
    )


class _Costing:
    """Gathers the lines of a design, and what has no price."""

    def __init__(self, site: Site, prices: PriceList) -> None:
        self.site = site
        self.prices = prices
        self.units = {unit.id: unit for unit in site.units}
        self.lines: list[Line] = []
        self.not_counted: list[str] = []

    def devices(self) -> None:
        """Take what the facts count: inverters, batteries, panels and a scheme."""
        for unit in self.site.units:
            if status_of(unit) == "proposed":
                self._inverter(unit)
            elif status_of(unit) == "removed":
                self.not_counted.append(
                    f"Taking out an inverter of {kilowatts(registered_w(unit))}."
                )
        for cells in self.site.storage:
            if part_status(cells.status, self.units.get(cells.unit_id)) == "proposed":
                self._of_size(
                    "battery",
                    rating(cells.usable_wh),
                    1,
                    f"a battery of {kilowatts(rating(cells.usable_wh), 'kWh')}",
                )
        for array in self.site.arrays:
            if part_status(array.status, self.units.get(array.unit_id)) == "proposed":
                self._panels(array)
        if limit_of(self.site, "export") is not None:
            self._any_of("limiter", 100)

    def rest(self, waits: bool | None, amounts: Mapping[str, int]) -> None:
        """Take what a person counts, or what is usual."""
        metres = self._metres()
        for kind, words in WORDS.items():
            if words.counted:
                continue
            if kind == "operator-fee" and waits is not True:
                if waits is None:
                    self.not_counted.append(f"{words.name}: the procedure is not known.")
                continue
            found = self.prices.all_of(kind)
            if not found and words.expected:
                self.not_counted.append(f"{words.name}: no price is entered.")
            for price in found:
                amount = amounts.get(price.label)
                if amount is None:
                    surveyed = kind == "cable" and len(found) == 1 and metres
                    amount = metres if surveyed else price.usual
                self._add(price, amount, price.label)

    def _inverter(self, unit: Unit) -> None:
        kind = _OF_SOURCE.get(unit.source)
        count = quantity_of(unit)
        name = f"an inverter of {kilowatts(registered_w(unit))}"
        if kind is None or count is None:
            self.not_counted.append(
                f"{name[0].upper()}{name[1:]}: its kind or number has no price."
            )
            return
        maker, model = known(unit.maker) or "", known(unit.model) or ""
        price = self.prices.of_model(kind, maker, model) if model else None
        if price is None:
            self._of_size(kind, registered_w(unit), count, name)
        else:
            self._add(price, count * 100, price.label)

    def _panels(self, array: Array) -> None:
        """Count panels, or take as many as their peak power needs."""
        count, peak_w = rating(array.panels), rating(array.peak_w)
        found = sorted(self.prices.all_of("panel"), key=lambda p: (-(p.size or 0), p.label))
        if not found:
            self.not_counted.append("Panels: no price is entered.")
            return
        own = (2 * peak_w + count) // (2 * count) if count and peak_w else None
        price = next((p for p in found if own is not None and p.size == own), found[0])
        if not count and peak_w and price.size:
            count = -(-peak_w // price.size)
        if not count:
            self.not_counted.append("Panels: their number is not known.")
            return
        self._add(price, count * 100, price.label)

    def _of_size(self, kind: Kind, size: int | None, count: int, name: str) -> None:
        price = None if size is None else self.prices.of_size(kind, size)
        if size is None:
            name = name.removesuffix(" of not known")
        if price is None:
            why = "its size is not known" if size is None else "no price is entered"
            self.not_counted.append(f"{name[0].upper()}{name[1:]}: {why}.")
        else:
            self._add(price, count * 100, price.label)

    def _any_of(self, kind: Kind, amount: int) -> None:
        found = self.prices.all_of(kind)
        if found:
            self._add(found[0], amount, found[0].label)
        else:
            self.not_counted.append(f"{WORDS[kind].name}: no price is entered.")

    def _metres(self) -> int:
        """Length of the cables of new units, in hundredths of a metre, whole metres up; 0 if none
        is known."""
        new = {unit.id for unit in self.site.units if status_of(unit) == "proposed"}
        lengths = [
            rating(cable.length_mm) or 0
            for cable in self.site.cables
            if known(cable.unit_id) in new
        ]
        return -(-sum(lengths) // 1000) * 100

    def _add(self, price: Price, amount: int, what: str) -> None:
        if not amount:
            return
        same = next((n for n, line in enumerate(self.lines) if line.what == what), None)
        if same is not None:
            amount += self.lines.pop(same).amount
        minor = share(amount, price.minor, 100)
        self.lines.append(Line(what, amount, WORDS[price.kind].each, price.minor, minor, price.vat))


def counted_by_hand(prices: PriceList) -> Iterator[Price]:
    """The prices of which a person says how many, in the order of a cost."""
    for kind, words in WORDS.items():
        if not words.counted:
            yield from prices.all_of(kind)


def amount_words(line: Line) -> str:
    """The amount of a line in words: "2.5 days"."""
    whole, rest = divmod(line.amount, 100)
    if not rest:
        return plural(whole, line.each)
    return f"{whole}.{rest:02d}".rstrip("0") + f" {line.each}s"


def money_words(minor: int, currency: str = "GBP") -> str:
    """Minor units in words: 912050 is "£9,120.50"; whole pounds have no pence."""
    whole, rest = divmod(abs(minor), 100)
    sign = "-" if minor < 0 else ""
    mark = "£" if currency == "GBP" else f"{currency} "
    return f"{sign}{mark}{whole:,}" + (f".{rest:02d}" if rest else "")

"""A firm's price list as it holds on a day. Money is in whole minor units of one currency."""

from typing import Literal, get_args

from msgspec import Struct

Kind = Literal[
    "pv-inverter",
    "battery-inverter",
    "hybrid-inverter",
    "battery",
    "panel",
    "limiter",
    "cable",
    "labour",
    "scaffold",
    "operator-fee",
    "inspection-fee",
    "other",
]
Vat = Literal["standard", "reduced", "zero", "outside"]
SizeUnit = Literal["W", "Wh", "Wp", ""]

KINDS: tuple[Kind, ...] = get_args(Kind)
VATS: tuple[Vat, ...] = get_args(Vat)


class KindWords(Struct, frozen=True):
    """A kind of price: its name, what one price is for, and the unit of its size if it has one.

    `counted` kinds are counted from the facts of a design; of the others a person says how many.
    `expected` kinds are named as not counted where no price is entered.
    """

    name: str
    each: str
    size: SizeUnit = ""
    counted: bool = False
    expected: bool = False


WORDS: dict[Kind, KindWords] = {
    "pv-inverter": KindWords("Inverter of panels", "inverter", "W", counted=True),
    "battery-inverter": KindWords("Inverter of a battery", "inverter", "W", counted=True),
    "hybrid-inverter": KindWords("Hybrid inverter", "inverter", "W", counted=True),
    "battery": KindWords("Battery", "battery", "Wh", counted=True),
    "panel": KindWords("Panel", "panel", "Wp", counted=True),
    "limiter": KindWords("Export limitation scheme", "scheme", counted=True),
    "cable": KindWords("Cable", "metre", expected=True),
    "labour": KindWords("Labour", "day", expected=True),
    "scaffold": KindWords("Scaffold", "job", expected=True),
    "operator-fee": KindWords("Network operator’s fee", "application", expected=True),
    "inspection-fee": KindWords("Inspection fee", "inspection", expected=True),
    "other": KindWords("Other", "piece"),
}


class Price(Struct, frozen=True):
    """One price.

    `minor` is for one of its kind, without VAT. `size` is the largest rating [W] or usable energy
    [Wh] that it is for, and of a panel its own peak power [Wp]. With `maker` and `model` it is for
    that model of the catalogue alone. `usual` is how many a design usually takes, in hundredths.
    """

    kind: Kind
    label: str
    minor: int
    vat: Vat
    size: int | None = None
    maker: str = ""
    model: str = ""
    usual: int = 0

    def is_for(self, maker: str, model: str) -> bool:
        """Whether it is the price of this model; letters count whatever their case."""
        mine = (self.maker.strip().casefold(), self.model.strip().casefold())
        return bool(self.model) and mine == (maker.strip().casefold(), model.strip().casefold())


class PriceList(Struct, frozen=True):
    """The prices of a day, in one currency, and the rates of VAT in hundredths of a percent.

    A class of VAT without a rate is not known; `outside` never has one.
    """

    prices: tuple[Price, ...]
    rates: dict[Vat, int]
    currency: str = "GBP"

    def of_model(self, kind: Kind, maker: str, model: str) -> Price | None:
        """The price of a model of the catalogue."""
        return next(
            (p for p in self.prices if p.kind == kind and p.is_for(maker, model)),
            None,
        )

    def of_size(self, kind: Kind, size: int) -> Price | None:
        """The price of the smallest size that is enough, for devices without a model."""
        enough = [
            p
            for p in self.prices
            if p.kind == kind and not p.model and p.size is not None and p.size >= size
        ]
        return min(enough, key=lambda p: (p.size or 0, p.label), default=None)

    def all_of(self, kind: Kind) -> tuple[Price, ...]:
        """Every price of a kind."""
        return tuple(p for p in self.prices if p.kind == kind)

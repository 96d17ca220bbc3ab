"""Boxes of prices, of rates of VAT, of what a cost rests on, and of a choice."""

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from connections.prices.costing import counted_by_hand
from connections.prices.price_list import WORDS, PriceList
from connections.prices.price_list import Price as PriceOfList
from sites.catalogue.models import Equipment
from sites.house.boxes.amount_field import AmountField
from sites.house.boxes.amounts import Measure
from sites.house.boxes.fault_summary import Fault, faults_of
from sites.premises.reading.site_rows import today
from sites.prices.models import CostBasis, Price, VatRate

MOST_MINOR = 100_000_000
"""Most that one price or saving may be [minor units]; our choice."""
MOST_RATE = 10_000

_TEXT = {"class": "form-control box-middling", "autocomplete": "off"}
_NARROW = {"class": "form-control box-narrow", "autocomplete": "off", "inputmode": "decimal"}
_MONEY = re.compile(r"£?\s*([0-9]{1,3}(?:,[0-9]{3})+|[0-9]{1,9})(?:\.([0-9]{1,2}))?")
_SIZES = {
    "W": Measure("W", beside="kW"),
    "Wh": Measure("Wh", beside="kWh"),
    "Wp": Measure("Wp", beside="Wp"),
}

VAT_WORDS = {
    "standard": "standard rate",
    "reduced": "reduced rate",
    "zero": "zero rate",
    "outside": "outside VAT",
}


class MoneyField(forms.CharField):
    """An amount of pounds, as its whole pence; None for an empty box."""

    def __init__(self, label: str, *, needed: bool = False, hint: str = "") -> None:
        super().__init__(
            label=label,
            required=needed,
            max_length=20,
            help_text=hint,
            widget=forms.TextInput(attrs=_NARROW),
            error_messages={"required": "Give an amount in pounds, such as 1,250.00."},
        )

    def clean(self, value: Any) -> Any:
        """Return whole pence. Raises ValidationError."""
        text = super().clean(value)
        if not text:
            return None
        match = _MONEY.fullmatch(text)
        if match is None:
            raise forms.ValidationError("Give an amount in pounds, such as 1,250.00.")
        minor = int(match[1].replace(",", "")) * 100 + int((match[2] or "").ljust(2, "0"))
        if minor > MOST_MINOR:
            raise forms.ValidationError(f"Give at most £{MOST_MINOR // 100:,}.")
        return minor


def pounds_text(minor: int | None) -> str:
    """Pence as the box of an amount shows them."""
    return "" if minor is None else f"{minor // 100}.{minor % 100:02d}"


def _hundredths(label: str, hint: str = "") -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        min_value=0,
        max_value=10_000,
        decimal_places=2,
        help_text=hint,
        widget=forms.TextInput(attrs=_NARROW),
        error_messages={
            "invalid": "Give a number, such as 2.5.",
            "min_value": "Give 0 or more.",
            "max_value": "Give at most 10,000.",
            "max_decimal_places": "Give at most two decimal places.",
        },
    )


def _text(label: str, hint: str = "", needed: str = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        required=bool(needed),
        max_length=200,
        help_text=hint,
        widget=forms.TextInput(attrs=_TEXT),
        error_messages={"required": needed},
    )


def _list(label: str, choices: Sequence[tuple[str, str]], hint: str = "") -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label,
        required=False,
        choices=choices,
        help_text=hint,
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
        error_messages={"invalid_choice": "Pick one of the list."},
    )


def _day(label: str, hint: str = "") -> forms.DateField:
    return forms.DateField(
        label=label,
        help_text=hint,
        widget=forms.DateInput(
            format="%Y-%m-%d", attrs={"class": "form-control box-narrow", "type": "date"}
        ),
        error_messages={"required": "Give a day.", "invalid": "Give a day, such as 2026-12-01."},
    )


class _Boxes(forms.Form):
    """A form whose faults stand in a summary too."""

    def faults(self) -> list[Fault]:
        """The faults for the summary at the top."""
        return faults_of(self)

    def refuse(self, message: str, field: str) -> None:
        """Show a refusal at its box."""
        self.add_error(field if field in self.fields else None, message)


class PriceForm(_Boxes):
    """Boxes of one price."""

    kind = _list("Price of", [("", "Pick one"), *((key, each.name) for key, each in WORDS.items())])
    label = _text("Name on a cost", "Such as “Inverter of 3.6 kW”.", "Give a name.")
    model = _list("Model of the catalogue, if it is for one model", [])
    size = forms.CharField(
        label="Up to what size",
        required=False,
        max_length=60,
        help_text="Inverters in kW, batteries in kWh; of a panel its own peak power in Wp.",
        widget=forms.TextInput(attrs=_NARROW),
    )
    minor = MoneyField("Price without VAT [£]", needed=True)
    vat = _list("VAT", [("", "Pick one"), *VAT_WORDS.items()])
    usual = _hundredths(
        "How many a design usually takes",
        "For cable, labour, scaffold, fees and others. Each design can say otherwise.",
    )
    starts = _day("Holds from")
    source = _text(
        "Source", "Such as the supplier’s list and its date.", "Say where the price comes from."
    )

    def __init__(self, data: QueryDict | None = None, like: Price | None = None) -> None:
        super().__init__(data, initial=_initial(like), auto_id="price-%s")
        model = self.fields["model"]
        assert isinstance(model, forms.ChoiceField)
        self._models = {
            str(each.key): each for each in Equipment.objects.order_by("maker", "model")
        }
        model.choices = [("", "none"), *((key, str(each)) for key, each in self._models.items())]
        if like is not None and like.model:
            self.initial["model"] = next(
                (
                    key
                    for key, each in self._models.items()
                    if (each.maker, each.model) == (like.maker, like.model)
                ),
                "",
            )

    def clean(self) -> dict[str, Any]:
        """Read the size in the unit of its kind, and say what does not go together."""
        typed = dict(super().clean() or {})
        for name, says in (("kind", "Pick what it is a price of."), ("vat", "Pick a VAT class.")):
            if not typed.get(name) and name not in self.errors:
                self.add_error(name, says)
        words = WORDS.get(typed.get("kind") or "other")
        assert words is not None
        size, by_model = str(typed.get("size") or "").strip(), bool(typed.get("model"))
        if by_model and words.size not in ("W",):
            self.add_error("model", "The catalogue has inverters; leave this empty.")
        if words.size and not size and not by_model and typed.get("kind"):
            self.add_error("size", "Give a size, or a model of the catalogue.")
        typed["size"] = None
        if size and not words.size:
            self.add_error("size", "This kind has no size; leave it empty.")
        elif size:
            try:
                typed["size"] = _SIZES[words.size].exactly(size)
            except forms.ValidationError as fault:
                self.add_error("size", f"{str(fault.message)[:1].upper()}{str(fault.message)[1:]}.")
        return typed

    def price(self) -> Price:
        """The row as typed, not saved. Only for a form without faults."""
        typed = self.cleaned_data
        model = self._models.get(typed["model"])
        return Price(
            kind=typed["kind"],
            label=typed["label"],
            maker=model.maker if model else "",
            model=model.model if model else "",
            size=typed["size"],
            minor=typed["minor"],
            vat=typed["vat"],
            usual=int((typed["usual"] or Decimal(0)) * 100),
            starts=typed["starts"],
            source=typed["source"],
        )


def _initial(like: Price | None) -> dict[str, object]:
    if like is None:
        return {"starts": today()}
    return {
        "kind": like.kind,
        "label": like.label,
        "size": size_words(like.kind, like.size),
        "minor": pounds_text(like.minor),
        "vat": like.vat,
        "usual": amount_text(like.usual) if like.usual else "",
        "starts": today(),
        "source": like.source,
    }


def size_words(kind: str, size: int | None) -> str:
    """A size in the unit of its kind, empty for none."""
    words = next((each for key, each in WORDS.items() if key == kind), None)
    if size is None or words is None or not words.size:
        return ""
    measure = _SIZES[words.size]
    return f"{measure.write(size).split(' ')[0]} {measure.beside}"


def amount_text(hundredths: int) -> str:
    """Hundredths as a number: 250 is "2.5"."""
    return f"{Decimal(hundredths) / 100:f}".rstrip("0").rstrip(".") if hundredths else "0"


class VatForm(_Boxes):
    """Boxes of a rate of VAT."""

    vat = _list("Class", [(key, word) for key, word in VAT_WORDS.items() if key != "outside"])
    rate = forms.DecimalField(
        label="Rate [%]",
        min_value=0,
        max_value=100,
        decimal_places=2,
        widget=forms.TextInput(attrs=_NARROW),
        error_messages={
            "required": "Give the rate, such as 20.",
            "invalid": "Give the rate, such as 20.",
            "min_value": "Give 0 to 100.",
            "max_value": "Give 0 to 100.",
            "max_decimal_places": "Give at most two decimal places.",
        },
    )
    starts = _day("Holds from")
    source = _text("Source", "The notice or the act, with its date.", "Say where the rate stands.")

    def __init__(self, data: QueryDict | None = None) -> None:
        super().__init__(data, initial={"starts": today()}, auto_id="vat-%s")

    def rate_row(self) -> VatRate:
        """The row as typed, not saved. Only for a form without faults."""
        typed = self.cleaned_data
        return VatRate(
            vat=typed["vat"] or "standard",
            rate=int(typed["rate"] * 100),
            starts=typed["starts"],
            source=typed["source"],
        )


class EndForm(_Boxes):
    """The last day of a price or a rate."""

    last_day = _day("Last day on which it holds")

    def __init__(self, data: QueryDict | None = None) -> None:
        super().__init__(data, initial={"last_day": today()}, auto_id="end-%s")


class BasisForm(_Boxes):
    """How many of each price that no fact counts, and a scheme's figures."""

    method = _text("Scheme’s method, with its edition")
    made_kwh = AmountField(
        Measure("kWh", beside="kWh", zero=True), label="Made in a year by that method [kWh]"
    )
    used_kwh = AmountField(
        Measure("kWh", beside="kWh", zero=True), label="Used at home of it [kWh]"
    )
    saves_minor = MoneyField("Saved in a year by that method [£]")

    def __init__(
        self, prices: PriceList, basis: CostBasis | None, data: QueryDict | None = None
    ) -> None:
        amounts: Mapping[str, int] = basis.amounts if basis is not None else {}
        self._counted: dict[str, PriceOfList] = {
            f"amount-{number}": price for number, price in enumerate(counted_by_hand(prices))
        }
        initial: dict[str, object] = {
            name: amount_text(amounts[price.label])
            for name, price in self._counted.items()
            if price.label in amounts
        }
        if basis is not None:
            initial |= {
                "method": basis.method,
                "made_kwh": basis.made_kwh,
                "used_kwh": basis.used_kwh,
                "saves_minor": pounds_text(basis.saves_minor),
            }
        super().__init__(data, initial=initial, auto_id="cost-%s")
        for name, price in self._counted.items():
            each = WORDS[price.kind].each
            usual = f"{amount_text(price.usual)} as usual" if price.usual else "none as usual"
            self.fields[name] = _hundredths(f"{price.label} [{each}s]", f"Empty: {usual}.")

    @property
    def amount_boxes(self) -> list[forms.BoundField]:
        """The boxes of amounts."""
        return [self[name] for name in self._counted]

    @property
    def scheme_boxes(self) -> list[forms.BoundField]:
        """The boxes of a scheme's figures."""
        return [self[name] for name in ("method", "made_kwh", "used_kwh", "saves_minor")]

    def amounts(self) -> dict[str, int]:
        """Hundredths by the label of their price; what was left empty takes the usual number."""
        return {
            price.label: int(self.cleaned_data[name] * 100)
            for name, price in self._counted.items()
            if self.cleaned_data.get(name) is not None
        }


class ChoiceForm(_Boxes):
    """Which design is chosen, by whom, when and why."""

    design = forms.ChoiceField(
        label="Design",
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
        error_messages={"required": "Pick a design.", "invalid_choice": "Pick one of the list."},
    )
    by_whom = _list(
        "Chosen by", [("customer", "the customer"), ("firm", "the firm, as its proposal")]
    )
    on = _day("On")
    why = forms.CharField(
        label="Why",
        required=False,
        max_length=500,
        help_text="Stands on the customer’s page after “Proposed” or “Chosen”.",
        widget=forms.Textarea(attrs={"class": "form-control box-middling", "rows": 2}),
    )

    def __init__(
        self, designs: Sequence[tuple[str, str]], chosen: str = "", data: QueryDict | None = None
    ) -> None:
        super().__init__(data, initial={"on": today(), "design": chosen}, auto_id="choice-%s")
        box = self.fields["design"]
        assert isinstance(box, forms.ChoiceField)
        box.choices = list(designs)

    def clean_on(self) -> dt.date:
        """Refuse a day to come."""
        on: dt.date = self.cleaned_data["on"]
        if on > today():
            raise forms.ValidationError("Give today or an earlier day.")
        return on

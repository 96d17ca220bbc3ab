"""The answers of a quick look, each with a default; they stand in the address, not in rows."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from django import forms
from django.http import QueryDict

from connections.ways.asked import Asked
from sites.house.boxes.amount_field import AmountField
from sites.house.boxes.amounts import Measure
from sites.premises.forms.premises import licence_areas

DEFAULTS = Asked()

_KW = Measure("W", beside="kW", zero=True, most=1_000_000)
_KWP = Measure("Wp", beside="kWp", zero=True, most=1_000_000)
_KWH = Measure("Wh", beside="kWh", zero=True, most=5_000_000)
_AMPS = Measure("mA", beside="A", zero=True, most=1_000_000)

_WRITTEN: dict[str, Measure] = {
    "there_w": _KW,
    "there_peak_w": _KWP,
    "panels_w": _KWP,
    "pv_w": _KW,
    "battery_wh": _KWH,
    "battery_w": _KW,
    "charge_point_w": _KW,
    "heat_pump_w": _KW,
    "cap_w": _KW,
    "hybrid_w": _KW,
    "micro_w": _KW,
    "limit_ma": _AMPS,
}

_THERE = (("nothing", "nothing"), ("string", "PV, string inverter"), ("micro", "PV, micro"))
_ROOF = (("string", "string"), ("micro", "micro"))
_YES_NO = (("no", "no"), ("yes", "yes"))


class Shown(NamedTuple):
    """A box of the page with the words of its unit."""

    box: forms.BoundField
    unit: str = ""


def _amount(label: str, name: str, hint: str = "") -> AmountField:
    return AmountField(_WRITTEN[name], label=label, help_text=hint)


def _pick(label: str, choices: tuple[tuple[str, str], ...]) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label,
        choices=choices,
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Pick one of these."},
    )


def _list(label: str, choices: tuple[tuple[str, str], ...]) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label,
        choices=choices,
        required=False,
        widget=forms.Select(attrs={"class": "form-select"}),
        error_messages={"invalid_choice": "Pick one of the list."},
    )


class QuickLookForm(forms.Form):
    """At most twelve entries, then the assumptions. An empty box takes its default."""

    phases = _pick("Supply", (("1", "1 phase"), ("3", "3 phases")))
    there_kind = _pick("There now", _THERE)
    there_w = _amount("Old PV inverter", "there_w")
    panels_w = _amount("New panels", "panels_w", "0 for none")
    roof_kind = _pick("New PV inverter", _ROOF)
    pv_w = _amount("Its rating", "pv_w", "micro-inverters: all together")
    battery_wh = _amount("Battery", "battery_wh", "0 for none")
    battery_w = _amount("Battery inverter", "battery_w")
    backup = _pick("Backup wanted", _YES_NO)
    charge_point_w = _amount("Charge point", "charge_point_w")
    heat_pump_w = _amount("Heat pump", "heat_pump_w", "electrical input")
    cap_w = _amount("DNO’s cap, if any", "cap_w")

    cap_on = _pick("The cap is on", (("export", "export"), ("installed", "installed capacity")))
    there_peak_w = _amount("Old panels", "there_peak_w")
    there_test = _list(
        "Old inverter, fully type tested to",
        (("G98", "G98"), ("G99", "G99"), ("G83", "G83"), ("none", "not known")),
    )
    cutout_a = forms.IntegerField(
        label="Cut-out fuse",
        required=False,
        min_value=16,
        max_value=1000,
        widget=forms.NumberInput(attrs={"class": "form-control box-narrow"}),
        error_messages={"invalid": "Give whole amps, such as 80."},
    )
    earthing = _list(
        "Earthing",
        (("TN-C-S", "TN-C-S"), ("TN-S", "TN-S"), ("TT", "TT"), ("unknown", "not known")),
    )
    area = forms.ChoiceField(
        label="Licence area",
        required=False,
        choices=(),
        widget=forms.Select(attrs={"class": "form-select"}),
        error_messages={"invalid_choice": "Pick one of the list."},
    )
    hybrid_w = _amount("Hybrid inverter", "hybrid_w", "empty: the larger of the two ratings")
    limit_ma = _amount("Export limit on each phase", "limit_ma")
    micro_w = _amount("Rating of a micro-inverter", "micro_w")
    on_all_phases = _pick("With three phases, inverters are on", (("yes", "all"), ("no", "L1")))
    charges_from_grid = _pick("Battery charges from the network", _YES_NO)

    def __init__(self, typed: QueryDict) -> None:
        given = {name: typed.get(name, "").strip() for name in self.base_fields}
        data = {**written(DEFAULTS), **{name: text for name, text in given.items() if text}}
        super().__init__(data, auto_id="look-%s")
        area = self.fields["area"]
        assert isinstance(area, forms.ChoiceField)
        area.choices = [("", "not known: published values alone"), *licence_areas()]

    def clean(self) -> dict[str, Any]:
        """Say what does not go together, at its box."""
        typed = dict(super().clean() or {})
        for rated, of, what in (
            ("pv_w", "panels_w", "panels"),
            ("battery_w", "battery_wh", "a battery"),
        ):
            if typed.get(of) and typed.get(rated) == 0:
                self.add_error(rated, f"With {what} it needs a rating. Give one.")
        if typed.get("there_kind") != "nothing" and typed.get("there_w") == 0:
            self.add_error("there_w", "Give the rating of the old inverter.")
        if typed.get("micro_w") == 0:
            self.add_error("micro_w", "Give a rating above 0.")
        return typed

    def asked(self) -> Asked:
        """The answers. Only for a form without faults."""
        typed = self.cleaned_data
        there = typed["there_kind"] != "nothing"
        return Asked(
            phases=3 if typed["phases"] == "3" else 1,
            there_w=typed["there_w"] if there else 0,
            there_peak_w=typed["there_peak_w"] if there else 0,
            there_kind="micro" if typed["there_kind"] == "micro" else "string",
            roof_kind=typed["roof_kind"],
            backup=typed["backup"] == "yes",
            cap_on=typed["cap_on"],
            cutout_a=typed["cutout_a"],
            earthing=typed["earthing"],
            area=typed["area"],
            hybrid_w=typed["hybrid_w"] or 0,
            there_test=typed["there_test"],
            on_all_phases=typed["on_all_phases"] == "yes",
            charges_from_grid=typed["charges_from_grid"] == "yes",
            **{name: typed[name] for name in _PLAIN},
        )

    def entries(self) -> tuple[Shown, ...]:
        """The boxes in the open; what follows from an answer is left out while it cannot matter."""
        hidden = set()
        if self["there_kind"].value() == "nothing":
            hidden.add("there_w")
        return tuple(self._shown(name) for name in _ENTRIES if name not in hidden)

    def assumptions(self) -> tuple[Shown, ...]:
        """The boxes behind the fold."""
        return tuple(self._shown(name) for name in self.fields if name not in _ENTRIES)

    def _shown(self, name: str) -> Shown:
        measure = _WRITTEN.get(name)
        unit = measure.beside if measure else {"cutout_a": "A"}.get(name, "")
        return Shown(self[name], unit)


_ENTRIES = (
    "phases", "there_kind", "there_w", "panels_w", "roof_kind", "pv_w", "battery_wh", "battery_w",
    "backup", "charge_point_w", "heat_pump_w", "cap_w",
)  # fmt: skip
_PLAIN = (
    "panels_w", "pv_w", "battery_wh", "battery_w", "charge_point_w", "heat_pump_w", "cap_w",
    "limit_ma", "micro_w",
)  # fmt: skip
_OLD = {"there_w": 3_600, "there_peak_w": 4_000}
"""What is taken for old plant until its boxes are filled [W]."""


def written(asked: Asked) -> Mapping[str, str]:
    """The answers as the boxes show them."""
    there = asked.there_kind if asked.there_w else "nothing"
    texts = {
        name: measure.write(getattr(asked, name) or _OLD.get(name, 0)).split(" ")[0]
        for name, measure in _WRITTEN.items()
    }
    if not asked.hybrid_w:
        texts["hybrid_w"] = ""
    return {
        **texts,
        "phases": str(asked.phases),
        "there_kind": there,
        "roof_kind": asked.roof_kind,
        "backup": "yes" if asked.backup else "no",
        "cap_on": asked.cap_on,
        "there_test": asked.there_test,
        "cutout_a": str(asked.cutout_a),
        "earthing": asked.earthing,
        "area": asked.area,
        "on_all_phases": "yes" if asked.on_all_phases else "no",
        "charges_from_grid": "yes" if asked.charges_from_grid else "no",
    }

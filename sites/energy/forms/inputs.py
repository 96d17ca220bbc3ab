"""Form for the inputs of a premises' energy years."""

import datetime as dt
from typing import Any
from uuid import UUID

from django import forms
from django.http import QueryDict
from msgspec import ValidationError, convert

from connections.energy.options import Window
from sites.energy.forms.boxes import (
    choice_box,
    clock_box,
    csv_box,
    hours_box,
    hours_text,
    kept_clock_box,
    pence_box,
    stamps_box,
    time_box,
    unit_box,
)
from sites.energy.models import EnergyFile, EnergyInputs
from sites.energy.reading.files import HowRead, Kind, how_read
from sites.energy.reading.years import OFFERED, offered_regions
from sites.energy.writing.given import Given, faults_in, given_of
from sites.energy.writing.odd import keys_of, odd_figures
from sites.house.boxes.amount_field import AmountField
from sites.house.boxes.amounts import Measure
from sites.house.boxes.fault_summary import Fault, faults_of
from sites.house.form_arguments import SentFiles
from sites.house.refusals import RefusedError

AUTO_ID = "energy-%s"

_PEAK = Measure("Wp", beside="kWp")

KINDS: tuple[Kind, ...] = ("meter", "irradiance")

_SEPARATOR = ";"
_IF_SO = "If it is so, tick that at the end of the form."

_LONG_GONE = "That file is not among those of this premises: choose it again."

_OPTIONAL = (
    "cheap_from", "cheap_to", "cheap_pence", "sell_from", "sell_to", "sell_pence",
    "import_pence", "export_pence", "standing_pence", "import_hours", "export_hours",
)  # fmt: skip
"""Boxes of the part that may stay closed."""


class EnergyForm(forms.Form):
    """Boxes of use, sun, windows, prices and steps.

    The form names an uploaded file by its key (`meter_key`, `irradiance_key`), so that nobody
    uploads it twice. `meter_drop` and `irradiance_drop` remove it. Boxes such as `meter_kept_clock`
    say how to read it; those of a new file start empty. `sure` holds the keys of odd figures that
    were confirmed. `is_so` holds the keys of those asked about just now and ticked.
    """

    seen = forms.CharField(required=False, widget=forms.HiddenInput)
    sure = forms.CharField(required=False, max_length=4000, widget=forms.HiddenInput)
    is_so = forms.CharField(required=False, max_length=4000, widget=forms.HiddenInput)
    yearly_use_kwh = AmountField(
        Measure("kWh", beside="kWh", zero=True),
        label="Yearly use of electricity [kWh]",
        help_text="What the house uses in a year, from its bills. It is spread over the year as a "
        "standard household does. With a file of meter readings it stays empty.",
    )
    meter_key = forms.UUIDField(
        required=False, widget=forms.HiddenInput, error_messages={"invalid": _LONG_GONE}
    )
    meter_drop = forms.BooleanField(
        label="Take this file out, and go by the yearly use",
        required=False,
        widget=forms.CheckboxInput(attrs={"class": "form-check-input"}),
    )
    meter_file = csv_box(
        "File of meter readings (CSV), if there is one",
        "A year of them, at most 6 MB. It holds in place of the yearly use.",
    )
    meter_clock = clock_box()
    meter_stamps = stamps_box()
    meter_unit = unit_box()
    meter_kept_clock = kept_clock_box()
    meter_kept_stamps = stamps_box()
    meter_kept_unit = unit_box()
    region = forms.TypedChoiceField(
        label="Region of the typical year",
        coerce=int,
        help_text="Sun, air and wind are its published monthly means (Standard Assessment "
        "Procedure, Appendix U).",
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
        error_messages={"required": "Pick the region.", "invalid_choice": "Pick a region."},
    )
    irradiance_key = forms.UUIDField(
        required=False, widget=forms.HiddenInput, error_messages={"invalid": _LONG_GONE}
    )
    irradiance_drop = forms.BooleanField(
        label="Take this file out, and go by the typical year",
        required=False,
        widget=forms.CheckboxInput(attrs={"class": "form-check-input"}),
    )
    irradiance_file = csv_box(
        "File of irradiance (CSV), if there is one",
        "A year of it, at most 6 MB. It holds in place of the typical year, at the place of the "
        "region.",
    )
    irradiance_clock = clock_box()
    irradiance_stamps = stamps_box()
    irradiance_kept_clock = kept_clock_box()
    irradiance_kept_stamps = stamps_box()
    measured_yield_kwh = AmountField(
        Measure("kWh", beside="kWh"),
        label="Measured yearly yield [kWh], if known",
        help_text="What panels here gave in a year at the inverter’s AC side, before any export "
        "limit.",
    )
    measured_kwp = AmountField(
        _PEAK,
        label="Peak power of the panels that were measured [kWp]",
        help_text="Only with a measured yield. Designs with other panels are taken in proportion.",
    )
    import_pence = pence_box(
        "Bought [pence/kWh]", "Tax included, without the standing charge: 26.5, not 0.265."
    )
    export_pence = pence_box("Exported [pence/kWh]")
    standing_pence = pence_box("Standing charge [pence/day]")
    import_hours = hours_box(
        "Bought in other hours [pence/kWh]",
        "One a line: 16:00 to 19:00 41.2. All other hours take the price above.",
    )
    export_hours = hours_box("Exported in other hours [pence/kWh]", "One a line, in the same way.")
    cheap_from = time_box("Cheap window from")
    cheap_to = time_box("Cheap window to")
    cheap_pence = pence_box("Bought in it [pence/kWh]")
    sell_from = time_box("Selling window from")
    sell_to = time_box("Selling window to")
    sell_pence = pence_box("Exported in it [pence/kWh]")
    step_minutes = choice_box(
        "Steps of the calculation",
        [("15", "15 minutes"), ("30", "30 minutes"), ("60", "60 minutes")],
        hint="Shorter steps show more of what a limit takes. A step lies in a window if it begins "
        "in it.",
        initial="30",
    )

    def __init__(
        self,
        data: QueryDict | dict[str, object] | None = None,
        files: SentFiles = None,
        initial: dict[str, object] | None = None,
    ) -> None:
        # A copy, because `take` puts keys of files into it.
        self._sent: Any = data.copy() if data is not None else None
        self.asked_about = ""
        super().__init__(self._sent, files, auto_id=AUTO_ID, initial=initial)
        box = self.fields["region"]
        assert isinstance(box, forms.TypedChoiceField)
        box.choices = [
            ("", "Pick one"),
            *((str(each.number), f"{each.number}  {each.name}") for each in offered_regions()),
        ]

    @classmethod
    def of(cls, inputs: EnergyInputs | None) -> "EnergyForm":
        """Return the form with the current inputs."""
        return cls(initial=_initial(inputs))

    @classmethod
    def typed_as(cls, inputs: EnergyInputs | None) -> "EnergyForm":
        """Return the form as if sent, so that it can show a fault of the whole post."""
        form = cls({name: value for name, value in _initial(inputs).items() if value is not None})
        form.errors.clear()
        return form

    def clean(self) -> dict[str, object]:
        """Require both ends of a window or none, and a yearly use if there is no meter file."""
        found: dict[str, object] = super().clean() or {}
        for name in ("cheap", "sell"):
            ends = [f"{name}_from", f"{name}_to"]
            given = [end for end in ends if found.get(end) is not None]
            if len(given) == 1 and not any(end in self.errors for end in ends):
                missing = next(end for end in ends if end not in given)
                self.add_error(
                    missing, "Give both times of the window, or leave both of them empty."
                )
        use_at_fault = {"yearly_use_kwh", "meter_file"} & set(self.errors)
        if found.get("yearly_use_kwh") is None and not use_at_fault and not self._metered(found):
            self.add_error(
                "yearly_use_kwh", "Give the use of a year in kWh, or a file of meter readings."
            )
        return found

    def _metered(self, found: dict[str, object]) -> bool:
        kept = found.get("meter_key") and not found.get("meter_drop")
        return bool(found.get("meter_file") or kept)

    def kept_key(self, kind: Kind) -> UUID | None:
        """Return the key of the file to use, None if the form drops it."""
        if self.cleaned_data.get(f"{kind}_drop"):
            return None
        key: UUID | None = self.cleaned_data.get(f"{kind}_key")
        return key

    def how_kept(self, kind: Kind, file: EnergyFile) -> HowRead:
        """Return how to read an uploaded file: as before, unless the form says otherwise."""
        found, now = self.cleaned_data, how_read(file)
        if not found.get(f"{kind}_kept_clock"):
            return now
        return convert(
            {
                "clock": found[f"{kind}_kept_clock"],
                "stamps": found.get(f"{kind}_kept_stamps") or "begin",
                "unit": found.get(f"{kind}_kept_unit") or None,
            },
            HowRead,
        )

    def how(self, kind: Kind) -> HowRead | None:
        """Return how to read a new file; None if no clock was picked."""
        found = self.cleaned_data
        try:
            return convert(
                {
                    "clock": found.get(f"{kind}_clock"),
                    "stamps": found.get(f"{kind}_stamps") or "begin",
                    "unit": found.get(f"{kind}_unit") or None,
                },
                HowRead,
            )
        except ValidationError:
            return None

    def take(self, kind: Kind, file: EnergyFile) -> None:
        """Use this file from now on."""
        self._sent[f"{kind}_key"] = str(file.key)
        for name in ("drop", "clock", "stamps", "unit"):
            self._sent.pop(f"{kind}_{name}", None)
        for name, value in _kept(kind, file).items():
            self._sent[name] = value
        self.cleaned_data |= {f"{kind}_key": file.key, f"{kind}_drop": False}

    def shown_key(self, kind: Kind) -> str:
        """Return the key of the file shown beside the box, empty for none."""
        return str(self[f"{kind}_key"].value() or "")

    def picked_region(self) -> int | None:
        """Return the region in its box, None if none is picked."""
        text = str(self["region"].value() or "")
        return next((number for number in OFFERED if str(number) == text), None)

    def see(self, inputs: EnergyInputs | None) -> None:
        """Note `inputs` as seen, so that this form may replace them."""
        self._sent["seen"] = str(inputs.key) if inputs is not None else ""

    def given(self) -> Given:
        """Return what was typed, after its files were read; a box at fault counts as empty."""
        found = {name: self.cleaned_data.get(name) for name in self.fields}
        meter = self.kept_key("meter")
        return Given(
            region=found["region"] or 0,
            yearly_use_kwh=None if meter is not None else found["yearly_use_kwh"],
            measured_yield_kwh=found["measured_yield_kwh"],
            measured_peak_w=found["measured_kwp"],
            meter_key=meter,
            irradiance_key=self.kept_key("irradiance"),
            step_minutes=int(found["step_minutes"] or 30),
            cheap=_window(found["cheap_from"], found["cheap_to"]),
            sell=_window(found["sell_from"], found["sell_to"]),
            import_pence=found["import_pence"],
            export_pence=found["export_pence"],
            cheap_pence=found["cheap_pence"],
            sell_pence=found["sell_pence"],
            import_hours=found["import_hours"] or (),
            export_hours=found["export_hours"] or (),
            standing_pence=found["standing_pence"],
        )

    def said_so(self) -> frozenset[str]:
        """Return the keys of confirmed figures."""
        said = (self.cleaned_data.get(name) or "" for name in ("sure", "is_so"))
        return frozenset(key for keys in said for key in keys.split(_SEPARATOR) if key)

    def look_over(self, metered_kwh: float | None) -> None:
        """Report impossible values and ask about unusual ones.

        Waits with faults that follow from a box already at fault. `metered_kwh` is the use in the
        meter file.
        """
        given = self.given()
        for fault in tuple(faults_in(given)):
            if not {fault.box, *fault.others} & set(self.errors):
                self.add_error(fault.box, fault.message)
        sure = self.said_so()
        odd = [
            each
            for each in odd_figures(given, metered_kwh)
            if each.key not in sure and each.box not in self.errors
        ]
        for each in odd:
            self.add_error(each.box, f"{each.says} {_IF_SO}")
        self.asked_about = _SEPARATOR.join(each.key for each in odd)
        self._sent["sure"] = _SEPARATOR.join(sorted(sure))

    def refuse(self, refused: RefusedError) -> None:
        """Show a refusal at its box."""
        box = refused.field if refused.field in self.fields else None
        self.add_error(box, refused.message)

    def faults(self) -> list[Fault]:
        """Return the faults for the summary at the top."""
        return faults_of(self)

    @property
    def opened(self) -> bool:
        """Whether the optional part holds a value or a fault."""
        values = [self[name].value() for name in _OPTIONAL]
        faulty = any(name in self.errors for name in _OPTIONAL)
        return faulty or any(value not in (None, "") for value in values)


def _kept(kind: Kind, file: EnergyFile) -> dict[str, str]:
    """Return the boxes that say how an uploaded file is read."""
    found = {f"{kind}_kept_clock": file.clock, f"{kind}_kept_stamps": file.stamps}
    return {**found, "meter_kept_unit": file.unit} if kind == "meter" else found


def _initial(inputs: EnergyInputs | None) -> dict[str, object]:
    if inputs is None:
        return {}
    peak_w = inputs.measured_peak_w
    found: dict[str, object] = {
        "seen": str(inputs.key),
        "sure": _SEPARATOR.join(keys_of(given_of(inputs))),
        "region": str(inputs.region),
        "yearly_use_kwh": inputs.yearly_use_kwh,
        "measured_yield_kwh": inputs.measured_yield_kwh,
        "measured_kwp": _PEAK.write(peak_w) if peak_w else None,
        "step_minutes": str(inputs.step_minutes),
    }
    files: tuple[tuple[Kind, EnergyFile | None], ...] = (
        ("meter", inputs.meter_file),
        ("irradiance", inputs.irradiance_file),
    )
    for kind, file in files:
        if file is not None:
            found |= {f"{kind}_key": str(file.key), **_kept(kind, file)}
    for name in ("cheap_from", "cheap_to", "sell_from", "sell_to"):
        minute = getattr(inputs, f"{name}_minute")
        if minute is not None:
            found[name] = f"{minute // 60 % 24:02d}:{minute % 60:02d}"
    for name in ("import_pence", "export_pence", "cheap_pence", "sell_pence", "standing_pence"):
        price = getattr(inputs, name)
        if price is not None:
            found[name] = f"{price:f}"
    for name in ("import_hours", "export_hours"):
        found[name] = hours_text(getattr(inputs, name))
    return found


def _window(begins: dt.time | None, ends: dt.time | None) -> Window | None:
    if begins is None or ends is None:
        return None
    return Window(begins.hour * 60 + begins.minute, ends.hour * 60 + ends.minute)

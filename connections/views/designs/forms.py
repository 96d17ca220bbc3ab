"""What the energy year of a premises rests on, as boxes."""

from typing import Any

from django import forms

from connections.models import EnergyInputs
from connections.selectors.energy_years import offered_regions
from connections.services.energy_years import Given
from connections.services.refusals import RefusedError
from connections.views.faults import Fault, faults_of

_NARROW = {"class": "form-control box-narrow", "inputmode": "decimal", "autocomplete": "off"}


class WholeKwh(forms.IntegerField):
    """Whole kWh, typed with or without separators of thousands."""

    widget = forms.TextInput

    def to_python(self, value: Any) -> int | None:
        """The number, None for an empty box."""
        if isinstance(value, str):
            value = value.replace(",", "").replace(" ", "")
        return super().to_python(value)


class EnergyForm(forms.Form):
    """Region, yearly use, and a measured yield with the peak power of its panels."""

    seen = forms.CharField(required=False, widget=forms.HiddenInput)
    region = forms.TypedChoiceField(
        label="Region of the typical year",
        coerce=int,
        help_text="Sun, air and wind are its published monthly means (Standard Assessment "
        "Procedure, Appendix U).",
        widget=forms.Select(attrs={"class": "form-select box-middling"}),
        error_messages={"required": "Pick the region.", "invalid_choice": "Pick a region."},
    )
    yearly_use_kwh = WholeKwh(
        label="Yearly use of electricity [kWh]",
        help_text="What the house uses in a year, from its bills. It is spread over the year as a "
        "standard household does.",
        widget=forms.TextInput(attrs=_NARROW),
        error_messages={
            "required": "Give the use of a year in kWh.",
            "invalid": "Give a whole number of kWh, such as 3500.",
        },
    )
    measured_yield_kwh = WholeKwh(
        label="Measured yearly yield [kWh], if known",
        required=False,
        help_text="What panels here gave in a year at the inverter’s AC side, before any export "
        "limit.",
        widget=forms.TextInput(attrs=_NARROW),
        error_messages={"invalid": "Give a whole number of kWh, or leave it empty."},
    )
    measured_kwp = forms.DecimalField(
        label="Peak power of the panels that were measured [kWp]",
        required=False,
        max_digits=8,
        decimal_places=3,
        widget=forms.TextInput(attrs=_NARROW),
        help_text="Only with a measured yield. Designs with other panels are taken in proportion.",
        error_messages={"invalid": "Give a number of kWp such as 4.4, or leave it empty."},
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        box = self.fields["region"]
        assert isinstance(box, forms.TypedChoiceField)
        box.choices = [
            ("", "Pick one"),
            *((str(each.number), f"{each.number}  {each.name}") for each in offered_regions()),
        ]

    @classmethod
    def of(cls, inputs: EnergyInputs | None) -> "EnergyForm":
        """The boxes with what holds now."""
        if inputs is None:
            return cls(auto_id=AUTO_ID)
        peak_w = inputs.measured_peak_w
        return cls(
            initial={
                "seen": str(inputs.key),
                "region": str(inputs.region),
                "yearly_use_kwh": inputs.yearly_use_kwh,
                "measured_yield_kwh": inputs.measured_yield_kwh,
                "measured_kwp": f"{peak_w / 1000:g}" if peak_w else None,
            },
            auto_id=AUTO_ID,
        )

    def given(self) -> Given:
        """What was typed, once it is valid."""
        found = self.cleaned_data
        kwp = found["measured_kwp"]
        return Given(
            region=found["region"],
            yearly_use_kwh=found["yearly_use_kwh"],
            measured_yield_kwh=found["measured_yield_kwh"],
            measured_peak_w=None if kwp is None else round(kwp * 1000),
        )

    def refuse(self, refused: RefusedError) -> None:
        """Put a refusal at its box."""
        box = refused.field if refused.field in self.fields else None
        self.add_error(box, refused.message)

    def faults(self) -> list[Fault]:
        """What is wrong, for the summary at the top."""
        return faults_of(self)


AUTO_ID = "energy-%s"

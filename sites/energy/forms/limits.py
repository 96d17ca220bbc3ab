"""Form for the export limits of a design's sweep."""

from django import forms

from connections.energy.energy_errors import EnergyError
from connections.energy.limits_asked import (
    FEWEST,
    HIGHEST_W,
    MOST,
    by_step,
    evenly,
    highest_proposed_w,
    proposed_step_w,
    step_within,
)
from sites.energy.reading.limit_sweeps import SweepState
from sites.house.boxes.amount_field import AmountField
from sites.house.boxes.amounts import Measure
from sites.house.boxes.fault_summary import Fault, faults_of

AUTO_ID = "limits-%s"


_LIMIT = Measure("W", beside="kW", zero=True, most=HIGHEST_W)


class LimitsForm(forms.Form):
    """The lowest and highest limit, with the step between limits or their number."""

    lowest = AmountField(_LIMIT, label="Lowest limit [kW]", needed="Give the lowest limit.")
    highest = AmountField(_LIMIT, label="Highest limit [kW]", needed="Give the highest limit.")
    step = AmountField(_LIMIT, label="Step from one limit to the next [kW]")
    count = forms.IntegerField(
        label="Or how many limits",
        required=False,
        help_text=f"{FEWEST} to {MOST}, the lowest and the highest counted; with the step empty.",
        widget=forms.TextInput(
            attrs={
                "class": "form-control box-narrow",
                "inputmode": "numeric",
                "autocomplete": "off",
            }
        ),
        error_messages={"invalid": "Give a whole number, such as 20."},
    )

    @classmethod
    def of(cls, state: SweepState) -> "LimitsForm":
        """Return the form with the last sweep, or with proposed limits for the design."""
        if state.asked is not None:
            limits = state.asked.limits_w
            lowest, highest, step = limits[0], limits[-1], step_within(limits)
            count = len(limits) if step is None else None
        elif state.year is not None:
            lowest, highest, count = 0, highest_proposed_w(state.year.plant), None
            step = proposed_step_w(highest)
        else:
            return cls(auto_id=AUTO_ID)
        return cls(
            initial={
                "lowest": _LIMIT.write(lowest),
                "highest": _LIMIT.write(highest),
                "count": count,
                "step": None if step is None else _LIMIT.write(step),
            },
            auto_id=AUTO_ID,
        )

    def clean(self) -> dict[str, object]:
        """Add the limits [W]; put each conflict at the box to correct."""
        data = super().clean() or self.cleaned_data
        lowest, highest = data.get("lowest"), data.get("highest")
        count, step = data.get("count"), data.get("step")
        if lowest is not None and highest is not None and highest <= lowest:
            self.add_error("highest", "The highest limit must be more than the lowest.")
        if step is not None and count is not None:
            self.add_error("count", "Give the step or the number of limits: empty one of the two.")
        elif step == 0:
            self.add_error("step", "Give a step of more than nothing, or leave it empty.")
        elif step is None and count is None and not self.errors.keys() & {"count", "step"}:
            self.add_error("count", "Say how many limits, or give a step.")
        elif step is None and count is not None and not FEWEST <= count <= MOST:
            self.add_error("count", f"Give {FEWEST} to {MOST} limits.")
        if self.errors or lowest is None or highest is None:
            return data
        try:
            data["limits_w"] = (
                evenly(lowest, highest, count or 0)
                if step is None
                else by_step(lowest, highest, step)
            )
        except EnergyError as fault:
            self.add_error("count" if step is None else "step", str(fault))
        return data

    def faults(self) -> list[Fault]:
        """Return the faults for the summary at the top."""
        return faults_of(self)

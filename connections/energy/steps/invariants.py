"""Laws that hold in every calculated year, checked each time before a result leaves the room."""

from typing import TYPE_CHECKING

from connections.energy.energy_errors import InvariantError

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from connections.energy.steps.flows import Flows

    Series = npt.NDArray[np.float64]

TOLERANCE = 1e-6
"""Largest difference between in and out, as a share of the throughput."""

_HAIR = 1e-9
"""Tolerance for rounding of a power [kW] or an energy [kWh]."""


def check(flows: "Flows") -> None:
    """Check a year before it becomes a result. Raises InvariantError, which stops it.

    Energy in equals energy out plus losses, over the year and between the wires of each step.
    Export keeps the limit, cells are between empty and full, and nothing flows backwards.
    """
    _all_forwards(flows)
    _limit_kept(flows)
    _cells_between_empty_and_full(flows)
    _balanced_each_step(flows)
    _balanced_over_the_year(flows)


def _all_forwards(flows: "Flows") -> None:
    import numpy as np

    for name in (
        "dc", "potential", "separate_ac", "shared_ac", "clipped", "direct", "surplus", "exported",
        "lost", "imported", "charge", "discharge", "sold", "bought", "shared_charge",
        "shared_surplus", "shared_discharge", "shared_sold", "shared_bought",
    ):  # fmt: skip
        series = getattr(flows, name)
        if not np.isfinite(series).all():
            step = int(np.argmin(np.isfinite(series)))
            raise InvariantError(f"In step {step + 1}, {name} is not a number: no result.")
        least = float(series.min(initial=0.0))
        if least < -_HAIR:
            step = int(np.argmin(series))
            raise InvariantError(
                f"In step {step + 1}, {name} flows backwards ({least:g} kW): no result."
            )


def _limit_kept(flows: "Flows") -> None:
    if flows.limit_kw is None:
        return
    most = float(flows.exported.max(initial=0.0))
    if most > flows.limit_kw + _HAIR:
        raise InvariantError(
            f"{most:g} kW would be exported above a limit of {flows.limit_kw:g} kW: no result."
        )


def _cells_between_empty_and_full(flows: "Flows") -> None:
    own, shared = flows.inputs.cells, flows.inputs.shared
    for stored, full in (
        (flows.stored, own.usable_kwh if own is not None else 0.0),
        (flows.shared_stored, shared.cells.usable_kwh if shared is not None else 0.0),
    ):
        least, most = float(stored.min(initial=0.0)), float(stored.max(initial=0.0))
        if not (least >= -_HAIR and most <= full + _HAIR):
            raise InvariantError(
                f"Cells of {full:g} kWh would hold {least:g} to {most:g} kWh: no result."
            )


def _balanced_each_step(flows: "Flows") -> None:
    """Check at the wires of the house: power in equals power out and power held back."""
    import numpy as np

    into = (
        flows.separate_ac + flows.shared_ac + flows.discharge + flows.shared_discharge
        + flows.sold + flows.shared_sold + flows.imported
    )  # fmt: skip
    out = (
        flows.inputs.load_kw + flows.charge + flows.shared_surplus + flows.bought
        + flows.shared_bought + flows.exported + flows.lost
    )  # fmt: skip
    apart = np.abs(into - out)
    worst = int(np.argmax(apart))
    if apart[worst] > TOLERANCE * max(1.0, float(into[worst])):
        raise InvariantError(
            f"In step {worst + 1}, {into[worst]:g} kW come in and {out[worst]:g} kW go out: "
            "no result."
        )


def _balanced_over_the_year(flows: "Flows") -> None:
    """Check from panels and network to house, network, heat and cells, which begin empty."""
    hours = flows.inputs.hours
    into = float((flows.dc + flows.imported).sum()) * hours
    out = hours * float(
        (
            flows.inputs.load_kw + flows.exported + flows.clipped + flows.lost + flows.conversion
        ).sum()
    )
    out += _last(flows.stored) + _last(flows.shared_stored)
    if abs(into - out) > TOLERANCE * max(into, 1e-3):
        raise InvariantError(
            f"{into:.6f} kWh come in over the year and {out:.6f} kWh go out, are lost or stored: "
            "no result."
        )


def _last(stored: "Series") -> float:
    return float(stored[-1]) if len(stored) else 0.0

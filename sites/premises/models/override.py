"""Engineers' figures in place of rulebook defaults."""

from typing import NamedTuple

from django.db import models

from sites.house.models.base import Keyed


class Default(NamedTuple):
    """A rulebook default that an engineer's figure may replace: its unit there, and its words."""

    unit: str
    words: str


OVERRIDABLE: dict[str, Default] = {
    "voltage_rise.network_highest": Default("mV", "highest voltage at the supply terminals"),
    "voltage_rise.power_factor": Default("thousandths", "power factor of an inverter"),
    "voltage_rise.neutral_share": Default("thousandths", "neutral's part of the supply's loop"),
    "voltage_rise.reference_resistance": Default("uohm", "resistance of the network's loop"),
    "voltage_rise.reference_reactance": Default("uohm", "reactance of the network's loop"),
    "cable.temperature": Default("celsius", "conductor temperature, thermoplastic insulation"),
    "cable.temperature_thermosetting": Default(
        "celsius", "conductor temperature, thermosetting insulation"
    ),
    "cable.reactance": Default("uohm", "reactance of a metre of cable"),
    "cable.ambient_air": Default("celsius", "temperature of the air"),
    "cable.ambient_ground": Default("celsius", "temperature of the ground"),
    "cable.fault_time": Default("ms", "duration of a fault"),
    "cable.device_share": Default("thousandths", "device over design current"),
    "fault.network_single": Default("A", "declared fault current, single-phase"),
    "fault.network_three": Default("A", "declared fault current, three-phase"),
    "fault.inverter_factor": Default("thousandths", "an inverter's part in a fault"),
    "string.coldest": Default("celsius", "coldest cell of panels"),
    "string.hottest": Default("celsius", "hottest cell of panels"),
}
"""Defaults of the electrical checks that an engineer may replace, by rulebook key."""


class Override(Keyed):
    """A figure in place of a default, with the reason.

    `value` is whole in `unit`, the unit that the default had when the row was typed.
    """

    premises = models.ForeignKey(
        "sites.Premises", on_delete=models.CASCADE, related_name="overrides"
    )
    default = models.CharField(max_length=100)
    value = models.BigIntegerField()
    unit = models.CharField(max_length=30, blank=True)
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("premises", "default"), name="override_once"),
        )

"""Protection settings as found, one a line: function; stage; value; delay."""

import re
from typing import Any

from django.core.exceptions import ValidationError

from connections.rulebook.faults import QuantityError
from connections.rulebook.quantities import parse_quantity
from sites.forms.fields import Box, refuse_control_characters
from sites.forms.quantity_box import in_unit
from sites.forms.typed import Typed

_UNITS = {"mV": "V", "mHz": "Hz", "mHz/s": "Hz/s", "degrees": "°", "%": "%"}
"""The units that a setting may have, and those that people write."""
_MOST = 30


class SettingsBox(Box):
    """Settings of the site file, typed as lines such as overvoltage; 1; 262.2 V; 1 s."""

    control = "lines"
    width = "long"
    empty: Any = ()

    def __init__(self, label: str) -> None:
        super().__init__(
            label,
            width="long",
            hint="one a line: function; stage; value; delay, as in overvoltage; 1; 262.2 V; 1 s",
        )

    def clean(self, value: Any) -> Any:
        """The settings, as a new list. Raises ValidationError."""
        return list(super().clean(value))

    def read(self, typed: Typed) -> list[dict[str, Any]]:
        """One setting for each line that isn't empty. Raises ValidationError."""
        refuse_control_characters(typed.text.replace("\r", ""))
        lines = [line.strip() for line in typed.text.splitlines() if line.strip()]
        if len(lines) > _MOST:
            raise ValidationError(f"write at most {_MOST} settings", code="many")
        return [_setting(line) for line in lines]

    def write(self, value: Any) -> str:
        """The settings as lines."""
        return "\n".join(_line(setting) for setting in value or ())


def _setting(line: str) -> dict[str, Any]:
    parts = [part.strip() for part in line.split(";")]
    if len(parts) not in (3, 4) or not parts[0] or len(parts[0]) > 60:
        raise ValidationError(
            f'"{line[:80]}" is no setting; write function; stage; value; delay', code="setting"
        )
    function, stage, amount = parts[:3]
    if stage and not re.fullmatch(r"[0-9]{1,2}", stage):
        raise ValidationError(f'"{stage[:20]}" is no stage; write 1, 2 or nothing', code="stage")
    setting: dict[str, Any] = {"function": function, **_amount(amount)}
    if stage:
        setting["stage"] = int(stage)
    if len(parts) == 4 and parts[3]:
        try:
            setting["delay_ms"] = parse_quantity(parts[3], "ms", beside="s")
        except QuantityError as fault:
            raise ValidationError(str(fault), code="delay") from None
        if setting["delay_ms"] < 0:
            raise ValidationError("a delay can't be negative", code="delay")
    return setting


def _amount(text: str) -> dict[str, Any]:
    for unit in _UNITS:
        try:
            value = parse_quantity(text, unit)
        except QuantityError:
            continue
        if value < 0:
            break
        return {"value": value, "unit": unit}
    raise ValidationError(
        f'"{text[:40]}" is no value of a setting; write it with V, Hz, Hz/s, ° or %', code="value"
    )


def _line(setting: dict[str, Any]) -> str:
    unit = setting["unit"]
    known = _UNITS.get(unit)
    value = (
        f"{in_unit(setting['value'], unit, known)} {known}"
        if known
        else f"{setting['value']} {unit}"
    )
    parts = [setting["function"], str(setting.get("stage") or ""), value]
    if setting.get("delay_ms") is not None:
        parts.append(f"{in_unit(setting['delay_ms'], 'ms', 's')} s")
    return "; ".join(parts)

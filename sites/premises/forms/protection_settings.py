"""Protection settings as found, one per line: function; stage; value; delay."""

import re
from typing import Any

from django.core.exceptions import ValidationError

from sites.house.boxes.amounts import Measure, in_unit, read_written, with_unit
from sites.house.boxes.fields import Box, refuse_control_characters
from sites.house.boxes.typed import Typed

_UNITS = {"mV": "V", "mHz": "Hz", "mHz/s": "Hz/s", "degrees": "°", "%": "%"}
"""Maps the unit of a setting to the unit that people write."""
_DELAY = Measure("ms", beside="s", zero=True)
_MOST = 30


class SettingsBox(Box):
    """Settings of the site file, typed one per line, such as overvoltage; 1; 262.2 V; 1 s."""

    control = "lines"
    width = "long"
    empty: Any = ()

    def clean(self, value: Any) -> Any:
        """Return the settings as a new list. Raises ValidationError."""
        return list(super().clean(value))

    def read(self, typed: Typed) -> list[dict[str, Any]]:
        """Return one setting for each line that is not empty. Raises ValidationError."""
        refuse_control_characters(typed.text.replace("\r", ""))
        lines = [line.strip() for line in typed.text.splitlines() if line.strip()]
        if len(lines) > _MOST:
            raise ValidationError(f"write at most {_MOST} settings", code="many")
        return [_setting(line) for line in lines]

    def write(self, value: Any) -> str:
        """Return the settings as lines."""
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
    try:
        found = read_written(amount, tuple(_UNITS))
        setting: dict[str, Any] = {"function": function, "value": found.value, "unit": found.unit}
        if stage:
            setting["stage"] = int(stage)
        if len(parts) == 4 and parts[3]:
            setting["delay_ms"] = _DELAY.exactly(parts[3])
    except ValidationError as fault:
        raise ValidationError(f'in "{line[:80]}", {fault.message}', code=fault.code) from None
    return setting


def _line(setting: dict[str, Any]) -> str:
    unit = setting["unit"]
    known = _UNITS.get(unit)
    value = (
        with_unit(in_unit(setting["value"], unit, known), known)
        if known
        else f"{setting['value']} {unit}"
    )
    parts = [setting["function"], str(setting.get("stage") or ""), value]
    if setting.get("delay_ms") is not None:
        parts.append(f"{_DELAY.write(setting['delay_ms'])} {_DELAY.beside}")
    return "; ".join(parts)

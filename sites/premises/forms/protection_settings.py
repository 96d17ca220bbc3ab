"""Protection settings as found, one per line: function; stage; value; delay."""

import re
from typing import Any

from django.core.exceptions import ValidationError

from sites.house.boxes.amounts import Measure, in_unit, read_written, with_unit
from sites.house.boxes.entries_box import LinesBox

_UNITS = {"mV": "V", "mHz": "Hz", "mHz/s": "Hz/s", "degrees": "°", "%": "%"}
"""Maps the unit of a setting to the unit that people write."""
_DELAY = Measure("ms", beside="s", zero=True)


class SettingsBox(LinesBox):
    """Settings of the site file, typed one per line, such as overvoltage; 1; 262.2 V; 1 s."""

    many = "settings"

    def entry_of(self, line: str) -> dict[str, Any]:
        """Return the setting of one line. Raises ValidationError."""
        return _setting(line)

    def line_of(self, entry: dict[str, Any]) -> str:
        """Return the line of one setting."""
        return _line(entry)


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

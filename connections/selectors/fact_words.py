"""What stands at a place of a site file, as a reader wants it: "4.6 kW", "yes", "not known"."""

import datetime as dt
import re
from typing import Any

import msgspec
from msgspec import Struct

from connections.facts.naming import words_for
from connections.facts.site import Site
from connections.pack.figures import long_date, quantity

_STEP = re.compile(r"(\w+)|\[(\d+)\]")
_UNITS = {
    "w": "W",
    "va": "VA",
    "ma": "mA",
    "var": "var",
    "wh": "Wh",
    "ms": "ms",
    "mm": "mm",
    "mv": "mV",
    "uohm": "uohm",
    "a": "A",
    "v": "V",
    "deg": "degrees",
}
_BASIS = {"ma_per_phase": "mA per phase", "w_total": "W", "va_total": "VA"}
_BASIS_WORDS = {"ma_per_phase": "amps per phase", "w_total": "kW in all", "va_total": "kVA in all"}
_CAP = re.compile(r"caps\[\d+\]\.(\w+)")
_LIMIT = re.compile(r"limits\.(export|import)\.(\w+)")
_NAMES = {
    "on": "what the operator caps",
    "value": "value",
    "basis": "unit that it is stated in",
    "until": "last day",
    "from_operator_reference": "operator's reference",
    "type_tested": "type test",
    "type_test_reference": "type-test reference",
    "nets_phases": "whether it nets the phases",
    "response_ms": "time to respond",
}
_ABSENT = object()
NOT_KNOWN = "not known"
NOT_SAID = "not stated"


class FactRead(Struct, frozen=True):
    """A fact that a finding read: what it is, and what stood there."""

    says: str
    value: str


class Facts:
    """The facts of one site, looked up by their site-file paths."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self._plain = msgspec.to_builtins(site)

    def read(self, path: str) -> FactRead:
        """The fact at a path in words; the path itself where it has no words."""
        return FactRead(self._name(path), self.value(path))

    def _name(self, path: str) -> str:
        if found := _CAP.fullmatch(path):
            name = _NAMES.get(found[1], found[1].replace("_", " "))
            return name if found[1] == "on" else f"operator's cap: {name}"
        if found := _LIMIT.fullmatch(path):
            return f"{found[1]} limit: {_NAMES.get(found[2], found[2].replace('_', ' '))}"
        return words_for(path, self._site)

    def value(self, path: str) -> str:
        """What stands at the path, with its unit."""
        steps = [name or int(index) for name, index in _STEP.findall(path)]
        at: Any = self._plain
        holder: Any = None
        for step in steps:
            holder = at
            try:
                at = at[step]
            except (KeyError, IndexError, TypeError):
                at = _ABSENT
                break
        if at is _ABSENT:
            return NOT_SAID
        return _words(at, _unit(str(steps[-1]), holder))


def _unit(name: str, holder: Any) -> str:
    if name == "value" and isinstance(holder, dict):
        return _BASIS.get(str(holder.get("basis")), "")
    return _UNITS.get(name.rpartition("_")[2], "") if "_" in name else ""


def _words(value: Any, unit: str) -> str:
    if value is None:
        return NOT_KNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return quantity(value, unit)
    if isinstance(value, list | tuple):
        return ", ".join(_words(entry, "") for entry in value) or "none"
    if isinstance(value, dict):
        return ", ".join(
            f"{key.replace('_', ' ')} {_words(entry, _unit(key, value))}"
            for key, entry in value.items()
        )
    return _BASIS_WORDS.get(value) or _day(str(value))


def _day(text: str) -> str:
    try:
        return long_date(dt.date.fromisoformat(text))
    except ValueError:
        return text

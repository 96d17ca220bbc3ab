"""What stands at a place of a site file, as a reader wants it: "4.6 kW", "yes", "not known"."""

import datetime as dt
import re
from collections.abc import Callable
from typing import Any

import msgspec
from msgspec import Struct

from connections.facts.naming import words_for
from connections.facts.site import Loads, Site
from connections.pack.figures import long_date, quantity
from connections.rulebook.book import Rulebook
from sites.premises.words.fact_choices import choice_said

_STEP = re.compile(r"(\w+)|\[(\d+)\]")
_UNITS = {
    "w": "W",
    "va": "VA",
    "ma": "mA",
    "var": "var",
    "wh": "Wh",
    "ms": "ms",
    "mm": "mm",
    "mm2": "mm²",
    "mv": "mV",
    "uohm": "uohm",
    "a": "A",
    "v": "V",
    "c": "°C",
    "deg": "degrees",
}
_BASIS = {"ma_per_phase": "mA per phase", "w_total": "W", "va_total": "VA"}
_OF_BOOK = {"celsius": "°C"}
_CAP = re.compile(r"caps\[\d+\]\.(\w+)")
_LIMIT = re.compile(r"limits\.(export|import)\.(\w+)")
_NAMES = {
    "on": "what the operator caps",
    "value": "value",
    "basis": "unit that it is stated in",
    "until": "last day",
    "from_operator_reference": "operator's reference",
    "split_equally": "whether the phases share it equally",
    "type_tested": "type test",
    "type_test_reference": "type-test reference",
    "nets_phases": "whether it nets the phases",
    "response_ms": "time to respond",
    "fail_safe": "whether it fails safe",
    "measured_at": "where it measures",
    "ct_position": "place of the current transformers",
    "commissioned_on": "commissioning date",
}
_PLAIN = {
    "units": "the units",
    "arrays": "the panels",
    "storage": "the cells",
    "cables": "the cables",
    "protection": "the schedule of protection",
    "boards": "the boards",
    "caps": "the operator's answers",
    "overrides": "own figures",
    "loads": "the demand",
    "loads.items": "the large loads",
    "loads.measured": "whether the demand was measured",
    "limits": "the limits",
    "network": "what is assumed of the network",
    "nearby": "the firm's other premises near by",
    "nearby.origin": "how the other premises near by are known",
    "premises": "the premises",
    "premises.nation": "the nation",
    "premises.supply_numbers": "the supply numbers",
    "supply.export_capacity_va": "the agreed export capacity",
    "supply.import_capacity_va": "the agreed import capacity",
    "supply.voltage_optimiser": "whether there is a voltage optimiser",
    "planned_on": "the planned day",
}
_ENTRY = re.compile(
    r"(premises\.supply_numbers|loads\.items|boards|cables|protection|overrides)\[(\d+)\]"
    r"(?:\.(\w+))?(?:\[(\d+)\])?(?:\.(\w+))?"
)
_LOAD = {"w": "power", "controllable": "ability to be turned down"}
_BOARD = {"rating_a": "rating", "incoming_a": "incoming device"}
_CABLE = {
    "from": "beginning",
    "to": "end",
    "unit_id": "unit",
    "length_mm": "length",
    "csa_mm2": "size",
    "cores": "number of cores",
    "ambient_c": "temperature around it",
    "grouped": "number of circuits that run together, along",
    "capacity_a": "own figure for what it carries, for",
    "method": "way of laying",
    "material": "conductor",
}
_DEVICE = {
    "kind": "kind",
    "serves": "place",
    "rating_a": "rating",
    "rcd_type": "residual-current type",
    "direction": "direction",
    "reference": "reference",
    "trip_ma": "residual current",
    "breaking_a": "breaking capacity",
}
_UNIT_FACTS = {"feeds_from": "board", "maker": "maker", "model": "model", "serials": "serials"}
_UNIT_FACT = re.compile(r"units\[(\d+)\]\.(\w+)")
_ABSENT = object()
NOT_KNOWN = "not known"
NOT_SAID = "not stated"


class FactRead(Struct, frozen=True):
    """A fact that a finding read: what it is, and what stood there."""

    says: str
    value: str


class Facts:
    """The facts of one site, looked up by their site-file paths.

    `book` is the rulebook that the site was decided under; without it an own figure stands in the
    unit that its row names, if it names one.
    """

    def __init__(self, site: Site, book: Rulebook | None = None) -> None:
        self._site = site
        self._book = book
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
        if found := _ENTRY.fullmatch(path):
            return _ENTRIES[found[1]](self, int(found[2]), found[3] or "")
        if (found := _UNIT_FACT.fullmatch(path)) and found[2] in _UNIT_FACTS:
            return f"the {_UNIT_FACTS[found[2]]} of {self._site.units[int(found[1])].id}"
        return _PLAIN.get(path) or words_for(path, self._site)

    def _supply_number(self, i: int, name: str) -> str:
        which = f" {i + 1}" if len(self._listed("premises", "supply_numbers")) > 1 else ""
        fact = {"scheme": "the form of ", "use": "the use of "}.get(name, "")
        return f"{fact}the supply number{which}"

    def _load(self, i: int, name: str) -> str:
        loads = self._site.loads
        items = loads.items if isinstance(loads, Loads) else ()
        if name in ("", "name"):
            return f"large load {i + 1}"
        called = items[i].name if i < len(items) else f"large load {i + 1}"
        return f"the {_LOAD.get(name, name.replace('_', ' '))} of {called}"

    def _board(self, i: int, name: str) -> str:
        if name in ("", "id"):
            return f"board {i + 1}"
        board = self._site.boards[i].id if isinstance(self._site.boards, tuple) else "the board"
        return f"the {_BOARD.get(name, name.replace('_', ' '))} of {board}"

    def _cable(self, i: int, name: str) -> str:
        cable = self._site.cables[i]
        called = f"the cable {cable.from_} to {cable.to}"
        if not name:
            return called
        fact = _CABLE.get(name, name.replace("_", " "))
        return f"the {fact} {'' if fact.endswith((' for', ' along')) else 'of '}{called}"

    def _device(self, i: int, name: str) -> str:
        device = self._site.protection[i]
        of = f" of {device.serves}" if isinstance(device.serves, str) and device.serves else ""
        called = f"{device.kind}{of}"
        if name == "settings":
            return f"a setting of the {called}"
        return (
            f"the {_DEVICE.get(name, name.replace('_', ' '))} of the {called}" if name else called
        )

    def _own_figure(self, i: int, name: str) -> str:
        made = self._site.overrides
        key = made[i].key if isinstance(made, tuple) and i < len(made) else ""
        value = self._book.values.get(key) if self._book is not None else None
        says = value.says.rstrip(".") if value is not None else ""
        called = f" for {says[:1].lower()}{says[1:]}" if says else ""
        return f"{'why there is an own figure' if name == 'reason' else 'own figure'}{called}"

    def _listed(self, part: str, name: str) -> list[Any]:
        found = (self._plain.get(part) or {}).get(name) or []
        return list(found)

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
        last = str(steps[-1])
        if path.startswith("overrides[") and last == "value":
            return _words(at, self._unit_of_own_figure(holder), last)
        if path == "premises.licence_area" and isinstance(at, str):
            return self._area(at)
        if path.startswith("arrays[") and last == "peak_w":
            return _words(at, "Wp", last)
        return _words(at, _unit(last, holder), last)

    def _area(self, id: str) -> str:
        areas = self._book.areas if self._book is not None else ()
        return next((area.name for area in areas if area.id == id), id)

    def _unit_of_own_figure(self, holder: Any) -> str:
        value = self._book.values.get(holder["key"]) if self._book is not None else None
        unit = str(value.unit if value is not None else holder.get("unit") or "")
        return _OF_BOOK.get(unit, unit)


_ENTRIES: dict[str, Callable[[Facts, int, str], str]] = {
    "premises.supply_numbers": Facts._supply_number,
    "loads.items": Facts._load,
    "boards": Facts._board,
    "cables": Facts._cable,
    "protection": Facts._device,
    "overrides": Facts._own_figure,
}


def _unit(name: str, holder: Any) -> str:
    if name == "value" and isinstance(holder, dict):
        return _BASIS.get(str(holder.get("basis")), "")
    return _UNITS.get(name.rpartition("_")[2], "")


def _words(value: Any, unit: str, name: str = "") -> str:
    if value is None:
        return NOT_KNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return quantity(value, unit)
    if isinstance(value, list | tuple):
        # What is made of several facts is set apart more than a list of single ones.
        between = "; " if any(isinstance(entry, dict) for entry in value) else ", "
        return between.join(_words(entry, "", name) for entry in value) or "none"
    if isinstance(value, dict):
        return _setting(value) if "function" in value else _several(value)
    text = str(value)
    if not text.strip():
        return NOT_SAID
    if name == "csa_mm2" and text.replace(".", "", 1).isdigit():
        return f"{text} mm²"
    return choice_said(name, text) or _day(text)


def _several(facts: dict[str, Any]) -> str:
    """Facts that stand together, each with its name."""
    return ", ".join(
        f"{_short(name)} {_words(value, _unit(name, facts), name)}" for name, value in facts.items()
    )


def _short(name: str) -> str:
    """The name of a fact without its unit: "length_mm" is "length"."""
    named = _CABLE.get(name, "") if name in ("csa_mm2", "unit_id") else ""
    head, _, unit = name.rpartition("_")
    return named or (head if unit in _UNITS and head else name).replace("_", " ")


def _setting(setting: dict[str, Any]) -> str:
    """A setting of a device: "overvoltage, stage 1: 262.2 V after 0.5 s"."""
    stage, delay = setting.get("stage"), setting.get("delay_ms")
    said = str(setting["function"])
    said += f", stage {stage}" if stage else ""
    said += f": {quantity(setting['value'], str(setting['unit']))}"
    return f"{said} after {quantity(delay, 'ms')}" if isinstance(delay, int) else said


def _day(text: str) -> str:
    try:
        return long_date(dt.date.fromisoformat(text))
    except ValueError:
        return text

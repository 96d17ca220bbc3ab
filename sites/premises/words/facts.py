"""Words for the fact at a path of a site file: "4.6 kW", "yes", "not known"."""

import re
from typing import Any

import msgspec
from msgspec import Struct

from connections.facts.declaring import Fact, declared, lowered, part_of
from connections.facts.defaults import first_day
from connections.facts.naming import fact_at, field_of, part_at, words_for
from connections.facts.site import Site
from connections.pack.figures import quantity
from connections.rulebook.book import Rulebook, Value
from connections.rulebook.telling import dated

_STEP = re.compile(r"(\w+)|\[(\d+)\]")
_BASIS = {"ma_per_phase": "mA per phase", "w_total": "W", "va_total": "VA"}
_OF_BOOK = {"celsius": "°C"}
_OWN_FIGURE = re.compile(r"overrides\[(\d+)\](?:\.(\w+))?")
_ABSENT = object()
NOT_KNOWN = "not known"
NOT_SAID = "not stated"


class FactRead(Struct, frozen=True):
    """A fact that a finding read: its label and its value in words."""

    says: str
    value: str


class Facts:
    """Facts of one site by site-file path, in words.

    `book` is the rulebook of the decision. Without it an override stands in the unit that its row
    names, if any.
    """

    def __init__(self, site: Site, book: Rulebook | None = None) -> None:
        self._site = site
        self._book = book
        self._plain = msgspec.to_builtins(site)

    def read(self, path: str) -> FactRead:
        """Return the fact at a path in words; the path itself if it has none."""
        if found := _OWN_FIGURE.fullmatch(path):
            return FactRead(self._own_figure(int(found[1]), found[2] or "value"), self.value(path))
        return FactRead(words_for(path, self._site), self.value(path))

    def _own_figure(self, i: int, name: str) -> str:
        made = self._site.overrides
        value = self._value_of_book(
            made[i].key if isinstance(made, tuple) and i < len(made) else ""
        )
        says = value.says.rstrip(".") if value is not None else ""
        called = f" for {says[:1].lower()}{says[1:]}" if says else ""
        fact = fact_at(f"overrides[].{name}")
        return f"{fact.noun if fact is not None else name}{called}"

    def value(self, path: str) -> str:
        """Return the value at the path, with its unit."""
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
        if path.startswith("overrides[") and steps[-1] == "value":
            return _words(at, self._unit_of_own_figure(holder))
        if path == "premises.licence_area" and isinstance(at, str):
            return self._area(at)
        fact = fact_at(path)
        return _words(at, _unit(fact, holder), fact, part_at(path))

    def _area(self, id: str) -> str:
        areas = self._book.areas if self._book is not None else ()
        return next((area.name for area in areas if area.id == id), id)

    def _unit_of_own_figure(self, holder: Any) -> str:
        value = self._value_of_book(holder["key"])
        unit = str(value.unit if value is not None else holder.get("unit") or "")
        return _OF_BOOK.get(unit, unit)

    def _value_of_book(self, key: str) -> Value | None:
        return self._book.values.get(key) if self._book is not None else None


def _unit(fact: Fact | None, holder: Any) -> str:
    if isinstance(holder, dict) and "basis" in holder and fact is not None and fact.noun == "value":
        return _BASIS.get(str(holder.get("basis")), "")
    unit = fact.unit if fact is not None else ""
    return _OF_BOOK.get(unit, unit)


def _words(
    value: Any, unit: str, fact: Fact | None = None, part: type[Struct] | None = None
) -> str:
    if value is None:
        return NOT_KNOWN
    choices = dict(fact.choices if fact is not None else ())
    if isinstance(value, bool):
        said = "yes" if value else "no"
        return choices.get(said, said)
    if isinstance(value, int):
        return quantity(value, unit)
    if isinstance(value, list | tuple):
        # Separate entries of several facts more strongly than single values.
        between = "; " if any(isinstance(entry, dict) for entry in value) else ", "
        return between.join(_words(entry, "", fact, part) for entry in value) or "none"
    if isinstance(value, dict):
        return _setting(value) if "function" in value else _several(value, part)
    text = str(value)
    if not text.strip():
        return NOT_SAID
    if unit and text.replace(".", "", 1).isdigit():
        return f"{text} {unit}"
    return choices.get(text) or _day(text)


def _several(facts: dict[str, Any], part: type[Struct] | None) -> str:
    """Return the facts of one entry, each with its label: "length 25 m"."""
    said = []
    for name, value in facts.items():
        field = field_of(part, name) if part is not None else None
        if part is not None and field is not None:
            fact = declared(part)[field]
            words = _words(value, _unit(fact, facts), fact, part_of(part, field))
            said.append(f"{lowered(fact.label)} {words}")
    return ", ".join(said)


def _setting(setting: dict[str, Any]) -> str:
    """Return a setting of a device: "overvoltage, stage 1: 262.2 V after 0.5 s"."""
    stage, delay = setting.get("stage"), setting.get("delay_ms")
    said = str(setting["function"])
    said += f", stage {stage}" if stage else ""
    said += f": {quantity(setting['value'], str(setting['unit']))}"
    return f"{said} after {quantity(delay, 'ms')}" if isinstance(delay, int) else said


def _day(text: str) -> str:
    try:
        first_day(text)
        return dated(text)
    except ValueError:
        return text

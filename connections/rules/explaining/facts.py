"""The deciding facts of a site, each with the site-file paths behind it."""

import datetime as dt
import re
from collections.abc import Iterator

from msgspec import UNSET, Struct

from connections.electrical.phase_sums import SCALE_PER_W, whole_milliamps, whole_watts
from connections.facts.deciding import BY_NAME, PER_PHASE, UNITS_OF, DecidingFact
from connections.facts.defaults import certificates_of, supply_phases
from connections.facts.derivation import FactRead, FactUsed, Shown
from connections.facts.site import LARGEST, Loads
from connections.rules.case import Case
from connections.rules.deciding_facts import NO_LIMIT
from connections.rules.figures import in_unit, listed, volts
from connections.rules.plant import Line
from connections.rules.table import FactValue

MOST_PLACES = 6
"""Most places named in a sentence; the rest are counted. Our choice."""

_LIST = re.compile(r"(units|arrays|storage|loads\.items)\[\](?:\.(\w+)(\[\]\.\w+)?)?")
_NONE = object()


def fact_used(case: Case, name: str) -> FactUsed:
    """A deciding fact with its value, its arithmetic and every place that it reads."""
    fact = BY_NAME[name]
    raw = case.facts[name]
    unit = unit_of(fact)
    value, lowest, highest = _amounts(raw, unit, case.ready.nominal_mv)
    read = tuple(place for path in fact.paths for place in _places(case, path))
    workings = _workings(case, fact, unit)
    return FactUsed(
        name=name,
        says=fact.says,
        value=value,
        lowest=lowest,
        highest=highest,
        unit=unit,
        read=read,
        workings=workings,
        sentence=f"{capital(fact.says)}: {fact_in_words(case, name)}{_from(read)}.",
    )


def unit_of(fact: DecidingFact) -> str:
    """The unit for showing a fact that is not compared with anything."""
    if fact.kind in PER_PHASE:
        return "mA"
    return "count" if fact.kind == "count" else UNITS_OF.get(fact.kind, "")


def fact_in_words(case: Case, name: str, unit: str = "") -> str:
    """The value of a fact for readers, in `unit` if given ("mA", "W", "VA")."""
    fact = BY_NAME[name]
    raw = case.facts[name]
    unit = unit or unit_of(fact)
    if raw is None:
        return "can't be told"
    if isinstance(raw, bool):
        return "yes" if raw else "no"
    if isinstance(raw, str):
        return raw
    low, high = raw
    if low == NO_LIMIT:
        return "none"
    nominal_mv = case.ready.nominal_mv
    shown = in_unit(whole(low, unit, nominal_mv), "" if unit == "count" else unit)
    if low == high:
        return shown
    if high >= LARGEST * SCALE_PER_W // 3:
        return f"not known, from {shown} up"
    most = in_unit(whole(high, unit, nominal_mv), "" if unit == "count" else unit)
    return f"not known, between {shown} and {most}"


def whole(scaled: int, unit: str, nominal_mv: int) -> int:
    """A scaled amount in whole mA, W or VA, half up; a count as it is."""
    if unit == "mA":
        return whole_milliamps(scaled, nominal_mv)
    return whole_watts(scaled) if unit in ("W", "VA", "Wp") else scaled


def read_at(case: Case, path: str) -> FactRead:
    """The value at one path of the site file, such as `units[0].rated_w`."""
    here: object = case.site
    for part in re.findall(r"\w+", path):
        if part.isdigit() and isinstance(here, tuple) and int(part) < len(here):
            here = here[int(part)]
            continue
        found = getattr(here, "import_" if part == "import" else part, _NONE)
        if here is UNSET or here is None or found is _NONE:
            return FactRead(path, None, here is not None)
        here = found
    return FactRead(path, _plain(here), here is UNSET)


def place_in_words(place: FactRead) -> str:
    """ "units[0].rated_w is 3680", "units[0].kind is left out"."""
    if place.left_out:
        return f"{place.path} is left out"
    if place.value is None:
        return f"{place.path} is not known"
    if isinstance(place.value, bool):
        return f"{place.path} is {'yes' if place.value else 'no'}"
    if isinstance(place.value, list):
        return f"{place.path} is {', '.join(place.value)}"
    return f"{place.path} is {place.value}"


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def _amounts(raw: FactValue, unit: str, nominal_mv: int) -> tuple[Shown, int | None, int | None]:
    """The value, or the lowest and the highest of an open one."""
    if not isinstance(raw, tuple):
        return raw, None, None
    low, high = raw
    if low == NO_LIMIT:
        return None, None, None
    if low == high:
        return whole(low, unit, nominal_mv), None, None
    return None, whole(low, unit, nominal_mv), whole(high, unit, nominal_mv)


def _places(case: Case, path: str) -> Iterator[FactRead]:
    """The places that a path with `[]` stands for: every counted unit, all panels, all cells.

    Of a unit without certificates, the first that it could have.
    """
    found = _LIST.fullmatch(path)
    if found is None:
        yield read_at(case, path)
        return
    group, name, deeper = found.groups()
    if group == "units":
        places = [line.index for line in case.lines]
    elif group == "loads.items":
        loads = case.site.loads
        places = list(range(len(loads.items))) if isinstance(loads, Loads) else []
    else:
        places = list(range(len(getattr(case.site, group))))
    for n in places:
        at = f"{group}[{n}].{name}"
        if not deeper:
            yield read_at(case, at)
            continue
        for k in range(len(certificates_of(case.site.units[n])) or 1):
            yield read_at(case, f"{at}[{k}]{deeper.removeprefix('[]')}")


def _plain(value: object) -> Shown:
    if value is UNSET or value is None:
        return None
    if isinstance(value, (bool, int, str)):
        return value
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, tuple):
        if any(isinstance(item, Struct) for item in value):
            return "stated"
        return [str(item) for item in value]
    return "stated" if isinstance(value, Struct) else str(value)


def _from(read: tuple[FactRead, ...]) -> str:
    if not read:
        return ""
    named = [place_in_words(place) for place in read[:MOST_PLACES]]
    more = len(read) - len(named)
    return f" ({listed([*named, f'{more} more'] if more else named)})"


def _workings(case: Case, fact: DecidingFact, unit: str) -> str:
    """The sums behind a capacity; empty if the fact is read directly or is not known."""
    if not case.capacity_known:
        return ""
    if fact.name == "largest_phase_sum":
        lines = [_phase_sum(case, phase) for phase in supply_phases(case.site)]
        return "; ".join(line for line in lines if line)
    if fact.name == "total":
        return _added([_of_line(line) for line in case.lines], case.facts["total"], "W")
    if fact.name in ("largest_rated", "largest_design") and unit == "mA" and case.lines:
        line = max(
            case.lines, key=lambda one: _capacity(one, fact.name) * SCALE_PER_W // one.phases
        )
        phases = f" / {line.phases} phases" if line.phases > 1 else ""
        at = volts(case.ready.nominal_mv)
        return f"{line.unit.id}: {_capacity(line, fact.name)} W{phases} at {at}"
    return ""


def _capacity(line: Line, name: str) -> int:
    bounds = line.rated if name == "largest_rated" else line.design or line.rated
    return bounds[0]


def _of_line(line: Line, phases: int = 1) -> str:
    times = f"{line.quantity[0]} x " if line.quantity[0] != 1 else ""
    share = f" / {phases}" if phases > 1 else ""
    return f"{line.unit.id} {times}{line.rated[0]} W{share}"


def _phase_sum(case: Case, phase: str) -> str:
    lines = [line for line in case.lines if phase in line.unit.phases]
    if not lines:
        return ""
    scaled = case.sums.phases[phase][0]
    nominal_mv = case.ready.nominal_mv
    amps = in_unit(whole_milliamps(scaled, nominal_mv), "mA")
    terms = [_of_line(line, line.phases) for line in lines[:MOST_PLACES]]
    if len(lines) > MOST_PLACES:
        terms.append(f"{len(lines) - MOST_PLACES} more lines")
    watts = whole_watts(scaled)
    sign = "=" if scaled % SCALE_PER_W == 0 else "about"
    return f"{phase}: {' + '.join(terms)} {sign} {watts} W, {amps} at {volts(nominal_mv)}"


def _added(terms: list[str], raw: FactValue, unit: str) -> str:
    if not terms or not isinstance(raw, tuple):
        return ""
    shown = terms[:MOST_PLACES]
    if len(terms) > MOST_PLACES:
        shown.append(f"{len(terms) - MOST_PLACES} more lines")
    return f"{' + '.join(shown)} = {whole_watts(raw[0])} {unit}"

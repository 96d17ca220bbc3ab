"""The meaning of left-out keys and of `null` in a site file.

`known` gives a field's value, or None if it is not known; 0 or null in a rating is not known, never
zero.
"""

import calendar
import datetime as dt
import re
from typing import TypeVar

from msgspec import UNSET, UnsetType

from connections.facts.declaring import default_of
from connections.facts.site import (
    Array,
    Certificate,
    Clamp,
    Load,
    Nearby,
    Site,
    Supply,
    Unit,
)

T = TypeVar("T")

_MONTH = len("2016-06")
_KIT_STANDARD = re.compile(r"G\s?98\s+PLUG-IN\b", re.IGNORECASE)

_STATUS = default_of(Unit, "status", str)
_KIND = default_of(Unit, "kind", str)
_MODE = default_of(Unit, "operating_mode", str)
_QUANTITY = default_of(Unit, "quantity", int)
_LEVEL = default_of(Supply, "voltage_level", str)
_NEARBY_PREMISES = default_of(Nearby, "premises", int)


def known(value: T | None | UnsetType) -> T | None:
    """The value, or None if it is left out or not known (for fields without a default)."""
    return None if value is UNSET else value


def rating(value: int | None | UnsetType) -> int | None:
    """A rating; 0, null and left out are all unknown."""
    return value if isinstance(value, int) and value > 0 else None


def first_day(when: dt.date | str | None | UnsetType) -> dt.date | None:
    """The day itself, or the first day of a month; None if it is not known.

    Raises ValueError for a text that is no date.
    """
    if isinstance(when, str):
        return dt.date.fromisoformat(f"{when}-01" if len(when) == _MONTH else when)
    return known(when)


def last_day(when: dt.date | str | None | UnsetType) -> dt.date | None:
    """The day itself, or the last day of a month; None if it is not known.

    Raises ValueError for a text that is no date.
    """
    first = first_day(when)
    if first is None or not is_month(when):
        return first
    return first.replace(day=calendar.monthrange(first.year, first.month)[1])


def is_month(when: dt.date | str | None | UnsetType) -> bool:
    """Whether only the month is known."""
    return isinstance(when, str) and len(when) == _MONTH


def when_between(first: dt.date | None, last: dt.date | None) -> str | None:
    """The day, or the month, whose first and last possible day these are; no last day means that
    the first is the day."""
    if first is None:
        return None
    return first.isoformat() if last in (None, first) else first.isoformat()[:_MONTH]


def before(when: dt.date | str | None | UnsetType, limit: dt.date) -> bool | None:
    """Whether a day lies before another; None if that is not known, as within a month."""
    first, last = first_day(when), last_day(when)
    if first is None or last is None or first < limit <= last:
        return None
    return last < limit


def status_of(unit: Unit) -> str:
    """existing, proposed or removed; an unknown status counts as proposed."""
    return unit.status if isinstance(unit.status, str) else _STATUS


def kind_of(unit: Unit) -> str:
    """The kind of unit: inverter if left out, "unknown" if null."""
    if unit.kind is UNSET:
        return _KIND
    return unit.kind if isinstance(unit.kind, str) else "unknown"


def mode_of(unit: Unit) -> str:
    """The operating mode; "unknown" if null."""
    if unit.operating_mode is UNSET:
        return _MODE
    return unit.operating_mode if isinstance(unit.operating_mode, str) else "unknown"


def quantity_of(unit: Unit) -> int | None:
    """Number of like units on the line: 1 if left out, None if not known."""
    if unit.quantity is UNSET:
        return _QUANTITY
    return unit.quantity if isinstance(unit.quantity, int) else None


def registered_w(unit: Unit) -> int | None:
    """AC registered capacity of one unit [W]; `rated_va` stands in where `rated_w` is not known."""
    # 2026-11-25: let VA stand in, with a finding: equal at unity power factor, otherwise too high.
    return rating(unit.rated_w) or rating(unit.rated_va)


def design_w(unit: Unit) -> int | None:
    """Design capacity of one unit [W]: the registered capacity if left out."""
    if unit.design_w is UNSET:
        return registered_w(unit)
    return rating(unit.design_w)


def certificates_of(unit: Unit) -> tuple[Certificate, ...]:
    """The type tests of a unit, in the order of the file; none where nothing is known of any."""
    return unit.standards if isinstance(unit.standards, tuple) else ()


def is_for_rating(certificate: Certificate, unit: Unit) -> bool | None:
    """Whether a certificate is for the rating of its unit; None where that rating is not known."""
    own, of_unit = rating(certificate.rated_w), registered_w(unit)
    if own is None:
        return True
    return None if of_unit is None else own == of_unit


def is_fully_tested(unit: Unit) -> bool:
    """Whether a certificate says that the unit is fully type tested, and is not for another
    rating."""
    return any(
        one.type_tested == "full" and is_for_rating(one, unit) is not False
        for one in certificates_of(unit)
    )


def is_counted(unit: Unit) -> bool:
    """Whether the unit counts towards the aggregate: not removed, not switched, quantity not 0."""
    return status_of(unit) != "removed" and mode_of(unit) != "switched" and unit.quantity != 0


def is_taken_out(unit: Unit) -> bool:
    """Whether the unit runs in parallel now and goes: removed, not switched, quantity not 0."""
    return status_of(unit) == "removed" and mode_of(unit) != "switched" and unit.quantity != 0


def is_kit(unit: Unit) -> bool:
    """Whether the unit is a plug-in kit, or may be one: left out, its standard tells."""
    if unit.plugged_in is UNSET:
        return any(
            isinstance(one.standard, str) and _KIT_STANDARD.search(one.standard)
            for one in certificates_of(unit)
        )
    return unit.plugged_in is not False


def kit_known(unit: Unit) -> bool:
    """Whether it is known that the unit is, or is not, a plug-in kit."""
    return unit.plugged_in is not None


def in_series(array: Array) -> int | None:
    """How many of these panels the longest string has in series; None if not known."""
    if isinstance(array.strings, tuple):
        said = [rating(each.in_series) for each in array.strings]
        numbers = [number for number in said if number is not None]
        return max(numbers, default=None) if len(numbers) == len(said) else None
    panels, strings = rating(array.panels), rating(array.strings)
    return None if panels is None or strings is None else -(-panels // strings)


def voltage_level(site: Site) -> str:
    """LV unless the file says HV; an unknown level is read as LV."""
    level = site.supply.voltage_level
    return level if isinstance(level, str) else _LEVEL


def nearby_premises(site: Site) -> int | None:
    """Number of other premises nearby: 0 if left out, None if not known."""
    if site.nearby is UNSET:
        return _NEARBY_PREMISES
    if site.nearby is None:
        return None
    if site.nearby.premises is UNSET:
        return _NEARBY_PREMISES
    return site.nearby.premises if isinstance(site.nearby.premises, int) else None


def phases_now(site: Site) -> int | None:
    """Present number of phases of the supply, where the site proposes another number; None where it
    does not, or where it is not known."""
    now = known(site.supply.now_phases)
    return None if now == site.supply.phases else now


def supply_phases(site: Site) -> tuple[str, ...]:
    """The phases of the supply: L1; L1 and L2 (split); or all three."""
    return ("L1", "L2", "L3")[: site.supply.phases]


def supply_kind(site: Site) -> str:
    """single-phase, split or three-phase."""
    return ("single-phase", "split", "three-phase")[site.supply.phases - 1]


_LOADS_BY_NAME = (
    ("vehicle", ("charge point", "charging point", "charger", "vehicle")),
    ("heat-pump", ("heat pump",)),
    ("instant-water", ("shower",)),
    ("cooker", ("cooker", "oven", "hob")),
    ("stored-water", ("immersion",)),
)


def load_kind(load: Load) -> str:
    """The kind of a load: as stated, else from its name, else "other"."""
    if isinstance(load.kind, str):
        return load.kind
    name = " ".join(re.sub(r"[\W_]+", " ", load.name.casefold()).split())
    return next(
        (kind for kind, words in _LOADS_BY_NAME if any(word in name for word in words)), "other"
    )


def strings_of(array: Array) -> int | None:
    """Number of strings, as stated or added up; None if it is not known."""
    if not isinstance(array.strings, tuple):
        return rating(array.strings)
    numbers = [each.in_parallel for each in array.strings]
    known_ones = [number for number in numbers if isinstance(number, int)]
    return rating(sum(known_ones)) if len(known_ones) == len(numbers) else None


def part_status(own: str | None | UnsetType, unit: Unit | None) -> str:
    """The status of panels or cells: their own, else that of the unit in front of them."""
    if isinstance(own, str):
        return own
    return status_of(unit) if unit is not None else _STATUS


def clamps_at_supply(site: Site, which: str) -> list[tuple[int, Clamp]]:
    """The clamps that measure what the network sees, unless the other limit alone reads them; each
    with its place in the file. `which` is "export" or "import"."""
    other = "import-limit" if which == "export" else "export-limit"
    return [
        (place, clamp)
        for place, clamp in enumerate(site.clamps or ())
        if clamp.place == "grid" and clamp.serves != other
    ]

"""The words beside the symbols: figures with their units.

What an operator must read and nobody stated is "not known", what stands to be looked at "to be
confirmed on site". Any other figure that nobody stated is left out.
"""

from collections.abc import Sequence

from msgspec import UNSET, UnsetType

from connections.diagram.lettering import printable
from connections.facts.defaults import (
    certificates_of,
    is_fully_tested,
    known,
    mode_of,
    quantity_of,
    rating,
    registered_w,
    strings_of,
)
from connections.facts.site import (
    Array,
    Cable,
    Certificate,
    Clamp,
    Limit,
    Load,
    Protection,
    Storage,
    Supply,
    Unit,
)

NB = "\u00a0"
"""No-break space between a figure and its unit."""

ON_SITE = "to be confirmed on site"

_COMPASS = (
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
)


def thousandths(value: int, unit: str) -> str:
    """A whole number of thousandths of `unit`, written exactly: 3680, "kW" gives 3.68 kW."""
    whole, rest = divmod(value, 1000)
    decimals = f"{rest:03d}".rstrip("0")
    return f"{whole}.{decimals}{NB}{unit}" if decimals else f"{whole}{NB}{unit}"


def text(value: str | None | UnsetType) -> str:
    """A typed text made printable; empty if unknown."""
    return printable(value) if isinstance(value, str) else ""


def phases(names: tuple[str, ...]) -> str:
    """Phases in their order: L1 L2 L3."""
    return " ".join(sorted(names))


def supply_lines(supply: Supply) -> tuple[str, ...]:
    """Lines on the supply: phases and voltage; earthing; other known facts."""
    kind = {1: "single-phase (L1)", 2: "split single-phase (L1 L2)", 3: "three-phase (L1 L2 L3)"}
    volts = 230 if supply.nominal_v is UNSET else rating(supply.nominal_v)
    voltage = f"{volts}{NB}V phase to neutral" if volts else "voltage not known"
    level = supply.voltage_level
    if level == "HV":
        voltage = f"high voltage supply; {voltage} at the boards"
    elif level is None:
        voltage = f"{voltage}, voltage level not known"
    earthing = supply.earthing if isinstance(supply.earthing, str) else "unknown"
    lines = [
        f"{kind[supply.phases]}, {voltage}",
        f"earthing {ON_SITE}" if earthing == "unknown" else f"earthing {earthing}",
    ]
    now = known(supply.now_phases)
    if now is not None and now != supply.phases:
        lines.append(f"new supply, to be asked for; {kind[now].split(' (')[0]} now")
    if known(supply.looped):
        lines[1] += ", looped service"
    agreed = [
        f"{way} {thousandths(value, 'kVA')}"
        for way, value in (
            ("import", known(supply.import_capacity_va)),
            ("export", known(supply.export_capacity_va)),
        )
        if value is not None
    ]
    if agreed:
        lines.append("agreed capacity: " + ", ".join(agreed))
    return tuple(lines)


def cut_out(supply: Supply) -> str:
    """The cut-out with its rating."""
    amps = rating(supply.cutout_a)
    return f"Cut-out {amps}{NB}A" if amps else f"Cut-out, rating {ON_SITE}"


def unit_rating(unit: Unit) -> str:
    """Quantity and rating of one unit, and their product where there are several."""
    each = _rating_of_one(unit)
    count = quantity_of(unit)
    if count is None:
        return f"quantity not known, each {each}"
    if count == 1:
        return each
    watts = rating(unit.rated_w)
    total = f" = {thousandths(watts * count, 'kW')}" if watts else ""
    return f"{count}{NB}× {each}{total}"


def _rating_of_one(unit: Unit) -> str:
    if watts := rating(unit.rated_w):
        return thousandths(watts, "kW")
    if volt_amperes := registered_w(unit):
        return f"{thousandths(volt_amperes, 'kVA')} (kW not known)"
    return "rating not known"


def type_test(unit: Unit) -> str:
    """Extent and standard of each type test of the unit."""
    said = dict.fromkeys(_tested(one) for one in certificates_of(unit))
    return "; ".join(said) or "type test not known"


def _tested(certificate: Certificate) -> str:
    standard = text(certificate.standard)
    tested = known(certificate.type_tested)
    if tested is None:
        return f"{standard}, type test not known" if standard else "type test not known"
    said = {"full": "fully type tested", "part": "partly type tested", "no": "not type tested"}
    if tested == "no":
        return f"{standard}, {said['no']}" if standard else said["no"]
    return f"{said[tested]} to {standard}" if standard else f"{said[tested]}, standard not known"


def operating_mode(unit: Unit) -> str:
    """The operating mode; empty for long-term parallel."""
    return {
        "long-term-parallel": "",
        "short-term-parallel": "short-term parallel",
        "switched": "switched only",
    }.get(mode_of(unit), "operating mode not known")


def panels(array: Array) -> tuple[str, ...]:
    """Peak power and direction of the panels."""
    peak = rating(array.peak_w)
    first = thousandths(peak, "kWp") if peak else "panels"
    count = known(array.panels)
    if count:
        first += f", {count} panels"
    strings = strings_of(array)
    if strings:
        first += f", {strings}{NB}string" if strings == 1 else f", {strings}{NB}strings"
    azimuth = known(array.azimuth_deg)
    tilt = known(array.tilt_deg)
    facing = [] if tilt is None else [f"tilt{NB}{tilt}°"]
    if azimuth is not None:
        towards = _COMPASS[(azimuth % 360 * 2 + 45) // 90 % 8]
        facing.insert(0, f"faces {towards}{NB}({azimuth}°)")
    return (first, ", ".join(facing)) if facing else (first,)


def several_panels(arrays: tuple[Array, ...]) -> tuple[str, ...]:
    """Sum of the arrays that are drawn as one."""
    peaks = [rating(array.peak_w) for array in arrays]
    total = sum(peak for peak in peaks if peak)
    missing = peaks.count(None)
    words = f"{len(arrays)} arrays, {thousandths(total, 'kWp')} in all"
    return (f"{words}, {missing} of them not known" if missing else words,)


def cells(stores: tuple[Storage, ...]) -> tuple[str, ...]:
    """Usable energy of one or several sets of cells."""
    energies = [rating(store.usable_wh) for store in stores]
    if len(stores) == 1:
        energy = energies[0]
        return (f"{thousandths(energy, 'kWh')} usable" if energy else "usable energy not known",)
    total = sum(energy for energy in energies if energy)
    missing = energies.count(None)
    words = f"{len(stores)} sets of cells, {thousandths(total, 'kWh')} usable in all"
    return (f"{words}, {missing} of them not known" if missing else words,)


def device(protection: Protection) -> str:
    """A protective device: its kind, rating and, of a residual current device, its type."""
    words = text(protection.kind) or "device"
    if amps := rating(protection.rating_a):
        curve = text(protection.breaker_type)
        words += f" {curve}{amps}" if curve else f" {amps}{NB}A"
    if trip := rating(protection.trip_ma):
        words += f", {trip}{NB}mA"
    if rcd_type := text(protection.rcd_type):
        short = rcd_type if rcd_type.casefold().startswith("type") else f"type{NB}{rcd_type}"
        words += f", {short}"
    if direction := text(protection.direction):
        words += f", {direction}"
    if place := text(protection.place):
        words += f", {place}"
    lockable = known(protection.lockable)
    if lockable is not None:
        words += ", can be locked off" if lockable else ", cannot be locked off"
    return words


def clamps(group: Sequence[Clamp], readers: Sequence[str]) -> str:
    """Clamps with their phases, the way of their arrow, and their link with whoever reads them."""
    names = ", ".join(text(clamp.id) or "without a name" for clamp in group)
    on = [clamp.phase for clamp in group if isinstance(clamp.phase, str)]
    phase = f"on {phases(tuple(on))}" if len(on) == len(group) else "phase not known"
    way = {"towards-supply": "arrow to the supply", "towards-site": "arrow to the site"}.get(
        known(group[0].direction) or "", "direction not known"
    )
    link = {"wired": "wired", "radio": "by radio"}.get(
        known(group[0].link) or "", "link not known,"
    )
    to = f"{link} to {', '.join(readers)}" if readers else f"{link.rstrip(',')}, reader not known"
    return f"CT {names} {phase}, {way}, {to}"


def equipment(unit: Unit) -> str:
    """Maker and model of a unit, as far as they are known."""
    maker, model = text(unit.maker), text(unit.model)
    if maker and model:
        return f"{maker} {model}"
    if not maker and not model:
        return "maker and model not known"
    return f"{maker}, model not known" if maker else f"{model}, maker not known"


def register_references(unit: Unit) -> str:
    """Numbers under which the type tests of a unit stand in a public register."""
    found = dict.fromkeys(text(one.reference) for one in certificates_of(unit))
    references = [reference for reference in found if reference]
    if references:
        return "register " + "; ".join(references)
    return "register reference not known" if is_fully_tested(unit) else ""


def cable(run: Cable) -> str:
    """A cable: nominal size, that of its protective conductor, material and length."""
    size, earth = text(run.csa_mm2), text(run.protective_mm2)
    length = rating(run.length_mm)
    parts = (
        f"{size}{NB}mm²" if size else "",
        f"protective {earth}{NB}mm²" if earth else "",
        text(run.material),
        thousandths(length, "m") if length else "",
    )
    return f"cable {', '.join(part for part in parts if part)}".rstrip()


def limit(way: str, limit: Limit) -> str:
    """A limit of the limitation scheme, as stated, and whether it is type tested."""
    tested = limit_tested(limit)
    if limit.value is None:
        return f"{way} limit, value not known, {tested}"
    said = {
        "ma_per_phase": f"{thousandths(limit.value, 'A')} on each phase",
        "w_total": f"{thousandths(limit.value, 'kW')} in all",
        "va_total": f"{thousandths(limit.value, 'kVA')} in all",
    }[limit.basis]
    return f"{way} limit {said}, {tested}"


def limit_tested(limit: Limit) -> str:
    """Whether the scheme is type tested for this limit."""
    if not isinstance(limit.type_tested, bool):
        return "type test not known"
    return "fully type tested" if limit.type_tested else "not fully type tested"


def load(item: Load) -> str:
    """A named load, with its power where that is known."""
    power = known(item.w)
    name = text(item.name) or "load"
    return f"{name} {thousandths(power, 'kW')}" if power else name

"""Work out the values of the deciding facts from the counted plant.

Some unknown facts take a strict reading and never make a site undetermined: a unit may run as an
island, an unknown kind is no inverter, an unknown mode is not long-term parallel, possible
neighbours exist. Each such reading has its own finding.
"""

from collections.abc import Callable, Iterable
from itertools import product

from msgspec import Struct

from connections.electrical.phase_sums import SCALE_PER_W
from connections.facts.defaults import (
    is_taken_out,
    mode_of,
    nearby_premises,
    part_status,
    rating,
    status_of,
    supply_kind,
    voltage_level,
)
from connections.facts.site import Array, Limit, Limits, Site, Storage
from connections.rules.places import place_of
from connections.rules.plant import Line, Tests
from connections.rules.table import FactValue, Ready

NO_LIMIT = 10**40
"""Means "no export limit": above every limit that a rulebook can hold."""


class Setting(Struct, frozen=True):
    """The facts that are equal in all completions."""

    voltage_level: str
    supply_kind: str
    long_term: bool
    islanding: str
    all_inverters: bool
    nearby: int
    export_limit: int
    limitation_scheme: str
    limit_use: str
    demand_notice: str
    dc_side_only: bool
    taken_out: bool
    with_cells: frozenset[str]
    """Ids of the units with cells behind them, if a condition asks about them."""


class Sums(Struct, frozen=True):
    """Phase sums and total in scaled units, each as (lowest, highest)."""

    phases: dict[str, tuple[int, int]]
    total: tuple[int, int]
    park: tuple[int, int]
    largest_module: tuple[int, int]


def limit_of(site: Site, which: str) -> Limit | None:
    """The export or import limit of the site, if it states one."""
    limits = site.limits
    if not isinstance(limits, Limits):
        return None
    found = limits.export if which == "export" else limits.import_
    return found if isinstance(found, Limit) else None


def limit_per_phase(limit: Limit, phases: int, nominal_mv: int) -> int | None:
    """The most that a limit allows on one phase [scaled].

    A limit on the total gives each phase its share only if the scheme does not net the phases; if
    it nets, or that is not known, each phase may reach the whole. VA stand for W, since they are
    never below W.
    """
    if limit.value is None:
        return None
    if limit.basis == "ma_per_phase":
        return limit.value * nominal_mv * 6
    whole = limit.value * SCALE_PER_W
    # 2026-11-25: treat a split supply like a three-phase one.
    if phases > 1 and limit.nets_phases is False:
        return whole // phases
    return whole


def counts(limit: Limit | None) -> bool:
    """Whether a limit counts: stated with a value, and fully type tested."""
    # 2026-11-25: no other scheme counts anywhere: not for the procedure, not for the export figure,
    # and so not for an operator's cap.
    return limit is not None and limit.value is not None and limit.type_tested is True


def setting_of(site: Site, lines: list[Line], ready: Ready) -> Setting:
    """The facts of the site that are known or have a strict reading."""
    export = limit_of(site, "export")
    export_scaled = NO_LIMIT
    if export is not None and counts(export):
        bound = limit_per_phase(export, site.supply.phases, ready.nominal_mv)
        if bound is not None:
            export_scaled = bound
    stated = [limit for limit in (export, limit_of(site, "import")) if limit is not None]
    scheme = "none"
    if stated:
        scheme = "type-tested" if all(counts(limit) for limit in stated) else "not-type-tested"
    nearby = nearby_premises(site)
    return Setting(
        voltage_level=voltage_level(site),
        supply_kind=supply_kind(site),
        long_term=all(mode_of(line.unit) == "long-term-parallel" for line in lines),
        # 2026-11-25: read `null` as yes. The rulebook's `g98.islanding_reading` says how connect
        # and notify accepts (secondary source).
        islanding="yes" if any(line.unit.can_island in (True, None) for line in lines) else "no",
        all_inverters=all(line.kind == "inverter" for line in lines),
        nearby=1 if nearby is None else nearby,
        export_limit=export_scaled,
        limitation_scheme=scheme,
        limit_use=_limit_use(site, ready),
        demand_notice="none",
        dc_side_only=bool(dc_side_changes(site))
        and all(status_of(unit) == "existing" for unit in site.units),
        taken_out=any(is_taken_out(unit) for unit in site.units),
        with_cells=frozenset(cells.unit_id for cells in site.storage if cells.status != "removed")
        if "plug_in_kit" in ready.asked
        else _NOTHING,
    )


_NOTHING: frozenset[str] = frozenset()


def _limit_use(site: Site, ready: Ready) -> str:
    """Whether the operator relies on a limit; loads that can be turned down are none."""
    if limit_of(site, "import") is not None:
        return "relied-on"
    if limit_of(site, "export") is None:
        return "none"
    capped = (
        isinstance(site.supply.export_capacity_va, int)
        or any(cap.on == "export" for cap in site.caps)
        or (ready.caps is not None and bool(ready.caps.at(*place_of(site))))
    )
    return "relied-on" if capped else "voluntary"


def dc_side_changes(site: Site) -> list[str]:
    """Paths of proposed panels or cells behind an existing inverter."""
    if not site.arrays and not site.storage:
        return []
    units = {unit.id: unit for unit in site.units}
    found: list[str] = []
    groups: tuple[tuple[str, tuple[Array | Storage, ...]], ...] = (
        ("arrays", site.arrays),
        ("storage", site.storage),
    )
    for name, parts in groups:
        for i, part in enumerate(parts):
            unit = units.get(part.unit_id)
            if (
                unit is not None
                and status_of(unit) == "existing"
                and part_status(part.status, unit) == "proposed"
            ):
                found.append(f"{name}[{i}]")
    return found


def sums_of(lines: list[Line]) -> Sums:
    """Phase sums, total and modules, with every unit at its rating."""
    low = {"L1": 0, "L2": 0, "L3": 0}
    high = {"L1": 0, "L2": 0, "L3": 0}
    total_low = total_high = park_low = park_high = 0
    module_low = module_high = 0
    for line in lines:
        q_low, q_high = line.quantity
        r_low, r_high = line.rated
        line_low, line_high = q_low * r_low, q_high * r_high
        share_low = line_low * SCALE_PER_W // line.phases
        share_high = line_high * SCALE_PER_W // line.phases
        for phase in line.unit.phases:
            low[phase] += share_low
            high[phase] += share_high
        total_low += line_low
        total_high += line_high
        if line.kind == "synchronous":
            module_low = max(module_low, r_low)
            module_high = max(module_high, r_high)
        elif not line.separate_storage:
            park_low += line_low
            park_high += line_high
    module_low, module_high = max(module_low, park_low), max(module_high, park_high)
    return Sums(
        phases={phase: (low[phase], high[phase]) for phase in low},
        total=(total_low * SCALE_PER_W, total_high * SCALE_PER_W),
        park=(park_low, park_high),
        largest_module=(module_low * SCALE_PER_W, module_high * SCALE_PER_W),
    )


def deciding_facts(
    lines: list[Line], setting: Setting, ready: Ready, sums: Sums | None = None
) -> dict[str, FactValue]:
    """The deciding facts of `connections.facts.deciding` by name.

    Rare facts are present only if this rulebook asks about them.
    """
    sums = sums or sums_of(lines)
    rated_low = rated_high = design_low = design_high = 0
    micro: bool | None = True
    small: bool | None = True
    untested_inverter: bool | None = False
    untested_synchronous: bool | None = False
    park = park_design(lines)
    for line in lines:
        n = line.phases
        rated_low = max(rated_low, line.rated[0] * SCALE_PER_W // n)
        rated_high = max(rated_high, line.rated[1] * SCALE_PER_W // n)
        design = line.design or line.rated
        # 2026-11-25: rows of `g98` also compare the design capacity with 16 A, which G98 itself
        # does not ask for: the cautious reading.
        design_low = max(design_low, design[0] * SCALE_PER_W // n)
        design_high = max(design_high, design[1] * SCALE_PER_W // n)
        fits = _within(park if in_park(line) else design, ready)
        full = _fully_tested(line, fits)
        if micro is not False:
            micro = _both(micro, _accepted(line, fits, ready.micro_accepted, ready.micro_earlier))
        if small is not False:
            small = _both(small, _accepted(line, fits, ready.small_accepted, ready.small_earlier))
        if full is not True:
            if line.kind == "synchronous":
                untested_synchronous = None if full is None and not untested_synchronous else True
            elif line.kind != "asynchronous":
                untested_inverter = None if full is None and not untested_inverter else True
    # 2026-11-25: look at three phases on any supply: a unit on a phase that the supply lacks still
    # counts, and `phase-not-on-supply` stops the site.
    phase_low = max(bounds[0] for bounds in sums.phases.values())
    phase_high = max(bounds[1] for bounds in sums.phases.values())
    facts: dict[str, FactValue] = {
        "voltage_level": setting.voltage_level,
        "supply_kind": setting.supply_kind,
        "accepted_as_micro": micro,
        "accepted_as_small": small,
        "every_unit_inverter": setting.all_inverters,
        "every_unit_long_term_parallel": setting.long_term,
        "islanding": setting.islanding,
        "largest_rated": (rated_low, rated_high),
        "largest_design": (design_low, design_high),
        "largest_phase_sum": (phase_low, phase_high),
        "export_limit": (setting.export_limit, setting.export_limit),
        "total": sums.total,
        "largest_module": sums.largest_module,
        "nearby_premises": (setting.nearby, setting.nearby),
        "untested_inverter": untested_inverter,
        "untested_synchronous": untested_synchronous,
        "limitation_scheme": setting.limitation_scheme,
        "limit_use": setting.limit_use,
        "demand_notice": setting.demand_notice,
        "dc_side_only": setting.dc_side_only,
        "nothing_parallel": not lines,
        "taken_out": setting.taken_out,
    }
    if ready.asked_rarely:
        for name in ready.asked_rarely:
            facts[name] = _RARE[name](lines, setting, ready)
    return facts


def _generation_phase_sum(lines: list[Line], setting: Setting, ready: Ready) -> FactValue:
    return _fullest([line for line in lines if line.unit.source != "storage"])


def _storage_phase_sum(lines: list[Line], setting: Setting, ready: Ready) -> FactValue:
    return _fullest([line for line in lines if line.unit.source == "storage"])


def _fullest(lines: list[Line]) -> tuple[int, int]:
    """Capacity of these lines on the fullest phase [scaled]."""
    phases = sums_of(lines).phases.values()
    return max(low for low, _ in phases), max(high for _, high in phases)


def apparent_sums(lines: list[Line]) -> dict[str, tuple[int, int]]:
    """Apparent power on each phase [scaled], as (lowest, highest), for rulebooks that ask for
    it."""
    sums = {"L1": (0, 0), "L2": (0, 0), "L3": (0, 0)}
    for line in lines:
        assert line.apparent is not None
        for phase in line.unit.phases:
            low, high = sums[phase]
            sums[phase] = (
                low + line.quantity[0] * line.apparent[0],
                high + line.quantity[1] * line.apparent[1],
            )
    return sums


def _largest_phase_va(lines: list[Line], setting: Setting, ready: Ready) -> FactValue:
    sums = apparent_sums(lines).values()
    return max(low for low, _ in sums), max(high for _, high in sums)


def _total_va(lines: list[Line], setting: Setting, ready: Ready) -> FactValue:
    sums = apparent_sums(lines).values()
    return sum(low for low, _ in sums), sum(high for _, high in sums)


def _plug_in_kit(lines: list[Line], setting: Setting, ready: Ready) -> FactValue:
    proposed = [line for line in lines if not line.existing]
    return len(proposed) == 1 and all(
        line.kit and line.unit.source == "pv" and line.unit.id not in setting.with_cells
        for line in proposed
    )


def _plug_in_kits(lines: list[Line], setting: Setting, ready: Ready) -> FactValue:
    numbers = [line.quantity for line in lines if line.kit]
    return sum(low for low, _ in numbers), sum(high for _, high in numbers)


def _plug_in_total(lines: list[Line], setting: Setting, ready: Ready) -> FactValue:
    kits = [line for line in lines if line.kit]
    return sums_of(kits).total if kits else (0, 0)


def _plug_in_va(lines: list[Line], setting: Setting, ready: Ready) -> FactValue:
    stated = [rating(line.unit.rated_va) or 0 for line in lines if line.kit]
    largest = max(stated, default=0) * SCALE_PER_W
    return largest, largest


_RARE: dict[str, Callable[[list[Line], Setting, Ready], FactValue]] = {
    "generation_phase_sum": _generation_phase_sum,
    "storage_phase_sum": _storage_phase_sum,
    "largest_phase_va": _largest_phase_va,
    "total_va": _total_va,
    "plug_in_kit": _plug_in_kit,
    "plug_in_kits": _plug_in_kits,
    "plug_in_total": _plug_in_total,
    "plug_in_va": _plug_in_va,
}
"""Facts that few rulebooks ask about; worked out only on demand."""


def _both(a: bool | None, b: bool | None) -> bool | None:
    if a is False or b is False:
        return False
    return None if a is None or b is None else True


def _either(answers: Iterable[bool | None]) -> bool | None:
    said = set(answers)
    return True if True in said else None if None in said else False


def in_park(line: Line) -> bool:
    """Whether a line is part of the one module of all units that are not synchronous."""
    return line.kind != "synchronous" and not line.separate_storage


def park_design(lines: list[Line]) -> tuple[int, int]:
    """The design capacity of that module [W]."""
    park = [(line.quantity, line.design or line.rated) for line in lines if in_park(line)]
    return (
        sum(quantity[0] * design[0] for quantity, design in park),
        sum(quantity[1] * design[1] for quantity, design in park),
    )


def _within(design: tuple[int, int], ready: Ready) -> bool | None:
    """Whether a module of this design capacity [W] can be fully type tested at all."""
    if design[0] * SCALE_PER_W > ready.full_test_scaled:
        return False
    return True if design[1] * SCALE_PER_W <= ready.full_test_scaled else None


def fully_tested(line: Line, lines: list[Line], ready: Ready) -> bool | None:
    """Whether a unit counts as fully type tested beside all others."""
    design = park_design(lines) if in_park(line) else line.design or line.rated
    return _fully_tested(line, _within(design, ready))


def _fully_tested(line: Line, fits: bool | None) -> bool | None:
    """Whether a certificate says that the unit is fully type tested; `fits` is of its module."""
    if len(line.certificates) == 1:
        return _full(line.certificates[0], line, fits)
    return _either(_full(one, line, fits) for one in line.certificates)


def _full(one: Tests, line: Line, fits: bool | None) -> bool | None:
    if fits is False or "full" not in one.tested:
        return False
    if one.rated_w is not None and not line.rated[0] <= one.rated_w <= line.rated[1]:
        return False
    at_rating = one.rated_w is None or line.rated[0] == line.rated[1]
    return fits if len(one.tested) == 1 and at_rating else None


def _accepted(
    line: Line, fits: bool | None, accepted: frozenset[str], earlier: frozenset[str]
) -> bool | None:
    """Whether one certificate of the unit alone is full, and to an accepted standard."""
    if len(line.certificates) == 1:
        (one,) = line.certificates
        return _both(_full(one, line, fits), _to_accepted(one, line, accepted, earlier))
    return _either(
        _both(_full(one, line, fits), _to_accepted(one, line, accepted, earlier))
        for one in line.certificates
    )


def _to_accepted(
    one: Tests, line: Line, accepted: frozenset[str], earlier: frozenset[str]
) -> bool | None:
    # 2026-11-25: G83 and G59 count only for existing plant, commissioned in time and declared fully
    # tested. A standard alone is no test.
    if not line.existing and len(one.standards) == 1:
        return one.standards[0] in accepted
    answers = {
        standard in accepted or (standard in earlier and line.existing and early)
        for standard, early in product(one.standards, line.early)
    }
    return answers.pop() if len(answers) == 1 else None

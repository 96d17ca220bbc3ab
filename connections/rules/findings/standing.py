"""Limits of the rulebook on every site's export, independent of any application.

These are a largest export on one phase, an export capacity that may not exceed the import capacity,
and the export from which effects on the transmission system are assessed. A rulebook holds those of
its nation.
"""

from collections.abc import Iterator

from connections.electrical.phase_sums import (
    SCALE_PER_W,
    scaled_current,
    scaled_power,
    whole_milliamps,
    whole_watts,
)
from connections.facts.defaults import known, supply_phases
from connections.facts.site import Premises
from connections.rules.case import Case, read_units
from connections.rules.deciding_facts import apparent_sums, limit_of
from connections.rules.export import export_figure
from connections.rules.figures import amps, in_unit, kilowatts
from connections.rules.findings.capacity import CAPACITY
from connections.rules.kinds import Found, Kind, Read, Values, Words

PHASE_LIMIT = "export.phase_limit"
ISLANDS = "transmission.assess_from_islands"
"""A rulebook with this value tells islands apart, so the fact is asked."""
_LIMIT = ("value", "basis", "type_tested", "nets_phases")


EXPORT_PHASE_NOT_KNOWN = Kind(
    "export-phase-not-known",
    "decide",
    "Can the export of a phase not be told without the apparent power?",
    lambda v: (
        f"Cannot tell whether {v['phase']} exports more than {in_unit(v['limit'], v['unit'])}: "
        "needs every unit's apparent power.",
        "A real power is never taken for an apparent one; the apparent power is at least as high.",
    ),
)


def _export_above_phase_limit_words(v: Values) -> Words:
    export, limit = in_unit(v["export"], v["unit"]), in_unit(v["limit"], v["unit"])
    return (
        f"{v['phase']} can export {export}; this rulebook lets a phase export {limit}.",
        f"{export} against {limit}. A limitation scheme can answer it.",
    )


EXPORT_ABOVE_PHASE_LIMIT = Kind(
    "export-above-phase-limit",
    "stops",
    "Does a phase export more than the rulebook lets any site?",
    _export_above_phase_limit_words,
)


def export_above_phase_limit(case: Case) -> Iterator[Found]:
    """One phase exports more than the rulebook allows any site."""
    held = case.ready.book.values.get(PHASE_LIMIT)
    if held is None:
        return
    amount = case.ready.book.whole(PHASE_LIMIT)
    in_amps = held.unit == "mA"
    limit = scaled_current(amount, case.ready.nominal_mv) if in_amps else scaled_power(amount)
    phase, low, high = _fullest(case, held.unit == "VA")
    if high <= limit:
        return
    ratings = (*CAPACITY, "rated_va", "rated_ma") if held.unit == "VA" else CAPACITY
    read = (*_read_limit(case), *read_units(case, *ratings))
    if low <= limit:
        yield EXPORT_PHASE_NOT_KNOWN.found(
            "export",
            {"phase": phase, "limit": amount, "unit": held.unit},
            keys=(PHASE_LIMIT,),
            read=read,
        )
        return
    step = 6 * case.ready.nominal_mv if in_amps else SCALE_PER_W
    shown = whole_milliamps(low, case.ready.nominal_mv) if in_amps else whole_watts(low)
    yield EXPORT_ABOVE_PHASE_LIMIT.found(
        "export",
        {"phase": phase, "export": shown, "limit": amount, "unit": held.unit},
        keys=(PHASE_LIMIT,),
        read=read,
        margin=(limit - low) // step,  # rounded away from the limit
        margin_unit=held.unit,
    )


def _fullest(case: Case, in_va: bool) -> tuple[str, int, int]:
    """The phase with the most export, and its lowest and highest amount [scaled].

    In apparent power an export limit in W applies as if at unity power factor.
    """
    bound = case.setting.export_limit
    sums = apparent_sums(case.lines) if in_va else case.sums.phases
    phases = {
        phase: (min(sums[phase][0], bound), min(sums[phase][1], bound))
        for phase in supply_phases(case.site)
    }
    phase = max(phases, key=lambda name: phases[name])
    return (phase, *phases[phase])


def _read_limit(case: Case) -> tuple[Read, ...]:
    limit = limit_of(case.site, "export")
    if limit is None:
        return (("limits.export", None),)
    return tuple((f"limits.export.{name}", getattr(limit, name)) for name in _LIMIT)


def _export_above_import_words(v: Values) -> Words:
    export, import_ = kilowatts(v["export_va"], "kVA"), kilowatts(v["import_va"], "kVA")
    return (
        f"The agreed export capacity of {export} is above the agreed import capacity of {import_}, "
        "which this rulebook does not let it be.",
        f"{export} - {import_} = {kilowatts(v['export_va'] - v['import_va'], 'kVA')} too much.",
    )


EXPORT_ABOVE_IMPORT = Kind(
    "export-above-import",
    "stops",
    "Is the agreed export capacity above the import capacity, where that may not be?",
    _export_above_import_words,
)


def export_above_import(case: Case) -> Iterator[Found]:
    """An agreed export capacity above the agreed import capacity, where the rulebook forbids it."""
    held = case.ready.book.values.get("export.within_import")
    supply = case.site.supply
    export, import_ = supply.export_capacity_va, supply.import_capacity_va
    if held is None or held.amount is not True:
        return
    if isinstance(export, int) and isinstance(import_, int) and export > import_:
        yield EXPORT_ABOVE_IMPORT.found(
            "supply",
            {"export_va": export, "import_va": import_},
            keys=("export.within_import",),
            read=(("supply.export_capacity_va", export), ("supply.import_capacity_va", import_)),
            margin=import_ - export,
            margin_unit="VA",
        )


def _transmission_words(v: Values) -> Words:
    export, from_, lowers = (
        f"The site can export {kilowatts(v['export_w'])}",
        f"from {kilowatts(v['from_w'])} on",
        "An export limit that counts lowers the figure.",
    )
    if v["mainland_w"] is not None:
        return (
            "Cannot tell whether the site's effect on the transmission system is assessed: needs "
            "whether the site lies on an island.",
            f"{export}. On an island its effect is assessed {from_}, elsewhere in this area from "
            f"{kilowatts(v['mainland_w'])} on. {lowers}",
        )
    where = "on the islands of this area" if v["island"] else "in this area"
    return (
        f"{export}; {from_}, its effect on the transmission system is assessed {where}, "
        "which takes longer.",
        lowers,
    )


SHARED_GENERATION = Kind(
    "shared-generation",
    "decide",
    "Do several supplies share a generator that exports more than each may?",
    lambda v: (
        f"{v['phase']} can export {amps(v['export_ma'])}, and {v['numbers']} import numbers are "
        f"given: where one generator serves several customers, each may export "
        f"{amps(v['limit_ma'])} a phase.",
        "Say in the decision whether the numbers are of several customers; an export limit lowers "
        "the figure (EREC G99, 7.8).",
    ),
)


def shared_generation(case: Case) -> Iterator[Found]:
    """Several import numbers, and more export on a phase than a sharing system lets a customer."""
    key, book, premises = "sharing.export_limit", case.ready.book, case.site.premises
    if key not in book.values or not isinstance(premises, Premises):
        return
    numbers = {
        number.value: f"premises.supply_numbers[{i}].value"
        for i, number in enumerate(premises.supply_numbers)
        if number.use == "import"
    }
    if len(numbers) < 2:
        return
    limit = book.whole(key)
    phase, export, _ = _fullest(case, False)
    if export > scaled_current(limit, case.ready.nominal_mv):
        export_ma = whole_milliamps(export, case.ready.nominal_mv)
        yield SHARED_GENERATION.found(
            "export",
            {
                "phase": phase,
                "export_ma": export_ma,
                "limit_ma": limit,
                "numbers": len(numbers),
            },
            keys=(key,),
            read=(
                *((path, number) for number, path in numbers.items()),
                *_read_limit(case),
                *read_units(case, *CAPACITY),
            ),
            margin=min(limit - export_ma, -1),
            margin_unit="mA",
        )


TRANSMISSION_ASSESSMENT = Kind(
    "transmission-assessment",
    "inform",
    "Is the export so large that its effect on the transmission system is assessed?",
    _transmission_words,
)


def transmission_assessment(case: Case) -> Iterator[Found]:
    """Export at which this area assesses the effect on the transmission system.

    The amount differs by region, so there is no finding while the area is not known. Where the
    rulebook tells islands apart, an export between the two amounts cannot be judged without that
    fact.
    """
    key = "transmission.assess_from"
    book = case.ready.book
    if not book.area or key not in book.values:
        return
    export = export_figure(case.site, case.setting, case.sums).total
    keys: tuple[str, ...] = (key,)
    from_w, mainland_w, island = book.whole(key), None, None
    if ISLANDS in book.values:
        premises = case.site.premises
        island = known(premises.island) if isinstance(premises, Premises) else None
        if island or (island is None and export < scaled_power(from_w)):
            mainland_w = None if island else from_w
            keys, from_w = (ISLANDS,) if island else (key, ISLANDS), book.whole(ISLANDS)
    if export >= scaled_power(from_w):
        yield TRANSMISSION_ASSESSMENT.found(
            "site",
            {
                "export_w": whole_watts(export),
                "from_w": from_w,
                "mainland_w": mainland_w,
                "island": bool(island),
            },
            keys=keys,
            read=(
                *_read_limit(case),
                *read_units(case, *CAPACITY),
                *((("premises.island", island),) if ISLANDS in book.values else ()),
            ),
            margin=(scaled_power(from_w) - export) // SCALE_PER_W if mainland_w is None else None,
            margin_unit="W",
        )


QUESTIONS = (
    export_above_phase_limit,
    export_above_import,
    shared_generation,
    transmission_assessment,
)

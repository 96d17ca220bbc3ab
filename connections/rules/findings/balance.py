"""Whether single-phase units keep the phases of a three-phase supply in balance.

Source: EREC G99 Issue 2, 7.5.3 and annex A.5. A technology is an energy source and, for panels, an
aspect; aspects within 45 degrees count as one (our choice). Peak power splits an inverter whose
panels face two ways.
"""

from collections.abc import Iterator
from fractions import Fraction

from connections.electrical.balance import (
    Spread,
    Worst,
    aspect_groups,
    worst_alone,
    worst_together,
)
from connections.electrical.phase_sums import SCALE_PER_W, scaled_current, scaled_power
from connections.facts.defaults import part_status, rating
from connections.facts.site import Array
from connections.rulebook.book import Value
from connections.rules.case import Case, read_units
from connections.rules.deciding_facts import apparent_sums
from connections.rules.figures import amps, kilowatts, listed
from connections.rules.kinds import Found, Kind, Read, Values, Words
from connections.rules.plant import Line

_PHASES = ("L1", "L2", "L3")
_CALLED = {"pv": "PV", "pv+storage": "PV and storage", "chp": "combined heat and power"}


def _balance_not_known_words(v: Values) -> Words:
    needs = "apparent power" if v.get("va") else "capacity"
    return (
        f"Cannot tell whether the phases are in balance: needs every unit's {needs}.",
        "The sums per phase are open while a capacity is not known.",
    )


BALANCE_NOT_KNOWN = Kind(
    "balance-not-known",
    "inform",
    "Are capacities missing, so that the balance of the phases can't be told?",
    _balance_not_known_words,
)


def out_of_balance(case: Case) -> Iterator[Found]:
    """The largest difference between two phases, by technology alone and together."""
    if case.site.supply.phases != 3 or not any(line.phases == 1 for line in case.lines):
        return
    book = case.ready.book
    held = book.values.get("balance.limit")
    if held is None:
        return  # `absent` reports it
    in_va = held.unit == "VA"
    if not (_apparent_known(case) if in_va else case.capacity_known):
        yield BALANCE_NOT_KNOWN.found(
            "site",
            {"va": True} if in_va else {},
            keys=("balance.limit",),
            read=_read(case, in_va),
        )
        return
    amount = book.whole("balance.limit")
    limit = (
        scaled_current(amount, case.ready.nominal_mv) if held.unit == "mA" else scaled_power(amount)
    )
    sums = apparent_sums(case.lines) if in_va else case.sums.phases
    if max(high for _, high in sums.values()) < limit:
        return  # no difference is more than what stands on the fullest phase
    technologies = technologies_of(case, in_va)
    worst: Worst | None = None
    key = ""
    # Take the larger one; if equal, the one with the stricter reading.
    for candidate, reading in (
        (worst_alone(technologies), "balance.reading_one"),
        (worst_together(technologies), "balance.reading_several"),
    ):
        if candidate is None:
            continue
        tie = worst is not None and candidate.difference == worst.difference == limit
        stricter = tie and not _lets_in(case, reading)
        if worst is None or candidate.difference > worst.difference or stricter:
            worst, key = candidate, reading
    if worst is None or worst.difference < limit:
        return
    at_limit = worst.difference == limit
    kept = at_limit and _lets_in(case, key)
    kind = BALANCE_AT_LIMIT if at_limit else PHASES_OUT_OF_BALANCE
    yield _found(case, kind, worst, kept, held, limit, key, _read(case, in_va))


def _read(case: Case, in_va: bool) -> tuple[Read, ...]:
    ratings = ("rated_w", "rated_va", "rated_ma") if in_va else ("rated_w",)
    return (
        *read_units(case, "source", *ratings, "quantity", "phases", "status"),
        *_aspects(case),
    )


def _lets_in(case: Case, reading: str) -> bool:
    """Whether a value equal to the limit keeps it; no if the rulebook lacks the reading."""
    value = case.ready.book.values.get(reading)
    return value is not None and value.amount == "inclusive"


def _apparent_known(case: Case) -> bool:
    return all(
        line.apparent is not None
        and line.apparent[0] == line.apparent[1]
        and line.quantity[0] == line.quantity[1]
        for line in case.lines
    )


def _balance(v: Values) -> str:
    power = (
        kilowatts(v["difference_va"], "kVA")
        if "difference_va" in v
        else kilowatts(v["difference_w"])
    )
    return (
        f"{listed(v['running'])} at full output, all else off: {v['high']} is "
        f"{power} above {v['low']}"
    )


def _apart(v: Values) -> Words:
    """The difference between two phases and its limit, in the unit of the limit."""
    if "limit_va" in v:
        return kilowatts(v["difference_va"], "kVA"), kilowatts(v["limit_va"], "kVA")
    if "limit_w" in v:
        return kilowatts(v["difference_w"]), kilowatts(v["limit_w"])
    return amps(v["difference_ma"]), amps(v["limit_ma"])


def _phases_out_of_balance_words(v: Values) -> Words:
    apart, limit = _apart(v)
    return (
        f"The phases can be {apart} apart; the limit is {limit}.",
        f"{_balance(v)}, {amps(v['difference_ma'])} at the voltage of the procedure."
        if "limit_ma" not in v
        else f"{_balance(v)}, {amps(v['difference_ma'])} at 230 V.",
    )


PHASES_OUT_OF_BALANCE = Kind(
    "phases-out-of-balance",
    "decide",
    "Can the phases be further apart than the limit?",
    _phases_out_of_balance_words,
)


def _balance_at_limit_words(v: Values) -> Words:
    reading = (
        "for one technology alone the limit is included"
        if v["kept"]
        else "for several technologies the text says less than the limit"
    )
    return (
        f"The phases can be exactly {_apart(v)[1]} apart, the limit itself; ask the network "
        "operator.",
        f"{_balance(v)}; {reading}.",
    )


BALANCE_AT_LIMIT = Kind(
    "balance-at-limit",
    "decide",
    "Can the phases be apart by exactly the limit?",
    _balance_at_limit_words,
)


def _found(
    case: Case,
    kind: Kind,
    worst: Worst,
    kept: bool,
    held: Value,
    limit: int,
    key: str,
    read: tuple[Read, ...],
) -> Found:
    denominator = 6 * case.ready.nominal_mv
    difference = worst.difference
    whole = int((2 * difference + SCALE_PER_W) // (2 * SCALE_PER_W))
    amount = case.ready.book.whole("balance.limit")
    unit = held.unit
    margin_in = denominator if unit == "mA" else SCALE_PER_W
    return kind.found(
        "site",
        {
            "difference_ma": int((2 * difference + denominator) // (2 * denominator)),
            f"difference_{'va' if unit == 'VA' else 'w'}": whole,
            f"limit_{unit.lower()}": amount,
            "high": _PHASES[worst.high],
            "low": _PHASES[worst.low],
            "running": list(worst.running),
            "kept": kept,
        },
        keys=("balance.limit", key),
        read=read,
        margin=int((limit - difference) // margin_in),
        margin_unit=unit,
    )


def technologies_of(case: Case, in_va: bool = False) -> dict[str, Spread]:
    """Capacity per phase [scaled] of each technology on the site; apparent power with `in_va`."""
    arrays = _arrays_by_unit(case)
    azimuths = [
        array.azimuth_deg
        for parts in arrays.values()
        for array in parts
        if isinstance(array.azimuth_deg, int)
    ]
    groups = aspect_groups(azimuths)
    found: dict[str, list[int | Fraction]] = {}
    for line in case.lines:
        one = line.rated[0] * SCALE_PER_W // line.phases
        if in_va and line.apparent is not None:
            one = line.apparent[0]
        share = line.quantity[0] * one
        for name, part in _shares(line, arrays.get(line.unit.id, []), groups):
            spread = found.setdefault(name, [0, 0, 0])
            for phase in line.unit.phases:
                spread[_PHASES.index(phase)] += share * part
    return {name: (s[0], s[1], s[2]) for name, s in found.items()}


def _arrays_by_unit(case: Case) -> dict[str, list[Array]]:
    units = {line.unit.id: line.unit for line in case.lines}
    arrays: dict[str, list[Array]] = {}
    for array in case.site.arrays:
        unit = units.get(array.unit_id)
        if unit is not None and part_status(array.status, unit) != "removed":
            arrays.setdefault(array.unit_id, []).append(array)
    return arrays


def _shares(
    line: Line, arrays: list[Array], groups: dict[int, int]
) -> list[tuple[str, int | Fraction]]:
    """Technology names with their part of the unit's output."""
    source = line.unit.source
    called = _CALLED.get(source, source)
    if not arrays:
        return [(called, 1)]
    peaks: dict[str, int] = {}
    for array in arrays:
        azimuth = array.azimuth_deg
        aspect = groups[azimuth] if isinstance(azimuth, int) else None
        name = called if aspect is None else f"{called} facing {aspect} degrees"
        peak = rating(array.peak_w)
        if peak is None and len(arrays) > 1:
            return [(called, 1)]
        peaks[name] = peaks.get(name, 0) + (peak or 1)
    total = sum(peaks.values())
    return [(name, 1 if peak == total else Fraction(peak, total)) for name, peak in peaks.items()]


def _aspects(case: Case) -> tuple[Read, ...]:
    return tuple(
        (f"arrays[{i}].{name}", getattr(array, name))
        for i, array in enumerate(case.site.arrays)
        for name in ("azimuth_deg", "peak_w", "unit_id")
    )


QUESTIONS = (out_of_balance,)

"""The amount connected: the outcome itself, the supply's largest aggregate, one phase's share."""

from collections.abc import Iterator

from msgspec import structs

from connections.electrical.phase_sums import (
    SCALE_PER_W,
    scaled_current,
    scaled_power,
    whole_milliamps,
    whole_watts,
)
from connections.facts.defaults import is_taken_out, rating, supply_phases, voltage_level
from connections.facts.naming import words_for
from connections.rules.case import Case, read_outcome, read_units, title_of
from connections.rules.deciding_facts import sums_of
from connections.rules.figures import amps, kilowatts, listed
from connections.rules.kinds import UNCHANGED, Found, Kind, Values, Words
from connections.rules.table import Test, holds, let_in

CAPACITY = ("rated_w", "quantity", "phases", "status")


def _undetermined_words(v: Values) -> Words:
    if not v["possible"]:
        return (
            "Cannot tell the procedure: no row of the rulebook's table covers this site.",
            "Every row of the decision table is false for the facts given.",
        )
    beyond = "" if v["searched_all"] else " (the search stopped at its bound; some may not be real)"
    return (
        f"Cannot tell the procedure: needs {listed(v['needs'])}.",
        f"With what is known it could be: {'; '.join(v['possible'])}{beyond}.",
    )


UNDETERMINED = Kind(
    "undetermined",
    "stops",
    "Are facts missing that could change the procedure?",
    _undetermined_words,
)


def undetermined(case: Case) -> Iterator[Found]:
    """Missing facts could change the procedure."""
    if case.outcome == "undetermined" and case.missing is None:
        yield UNDETERMINED.found(
            "site",
            {
                "possible": [title_of(case, key) for key in case.possible.outcomes],
                "needs": [words_for(path, case.site) for path in case.possible.unknown],
                "searched_all": case.possible.complete,
            },
            read=read_outcome(case),
        )


RULE_MISSING = Kind(
    "rule-missing",
    "stops",
    "Does the site need a rule that the rulebook does not hold?",
    lambda v: (
        f"This rulebook ({v['edition']}) does not hold the rule on {v['missing']}; ask {v['ask']}.",
        f"{v['says']} Nothing is assumed in its place.",
    ),
)


def rule_missing(case: Case) -> Iterator[Found]:
    """The site needs a rule that the rulebook lacks."""
    if case.missing is not None:
        yield RULE_MISSING.found(
            "rulebook",
            {
                "missing": case.missing.missing,
                "ask": case.missing.ask,
                "says": case.missing.says,
                "edition": case.ready.book.edition,
            },
            read=read_outcome(case),
        )


BEYOND = Kind(
    "beyond",
    "stops",
    "Is the site larger than is prepared here?",
    lambda v: (
        "This site is larger than this tool prepares; ask the network operator how to apply.",
        f"Largest module {kilowatts(v['largest_module_w'])}.",
    ),
)


def beyond(case: Case) -> Iterator[Found]:
    """Larger than this tool prepares."""
    if case.outcome == "beyond":
        yield BEYOND.found(
            "site",
            {"largest_module_w": whole_watts(case.sums.largest_module[0])},
            keys=("size.c_from",),
            read=read_outcome(case),
        )


def _boundary_words(v: Values) -> Words:
    where = {
        "limit": "The site stands exactly at a limit that the published text can be read both ways "
        "at",
        "island": "Whether EREC G98 takes in plant that can also run as an island is read both "
        "ways",
        "both": "The site stands exactly at a limit, and can run as an island: the published text "
        "can be read both ways at each",
    }[v["at"]]
    return (
        f"{where}; ask the network operator which reading it takes.",
        f"Read strictly: {v['procedure']}. Read the other way: {v['other_reading']}.",
    )


BOUNDARY = Kind(
    "boundary",
    "decide",
    "Can the published text be read in another way that changes the procedure?",
    _boundary_words,
)


def boundary(case: Case) -> Iterator[Found]:
    """The published text has another reading, by which the procedure is another one."""
    # 2026-11-25: decide by the strict reading; report only if the other one changes the procedure.
    if case.boundary and case.other_reading is not None:
        row = case.ready.rows[case.evaluation.row or 0]
        at_limit = [
            test
            for earlier in case.ready.rows[: row.row_index]
            for test in earlier.tests
            if let_in(test, case.facts[test.fact])
        ]
        words = [test.condition.reading for test in at_limit if not test.condition.against]
        limits = [test.condition.against for test in at_limit if test.condition.against]
        yield BOUNDARY.found(
            "site",
            {
                "procedure": title_of(case, case.outcome),
                "other_reading": title_of(case, case.other_reading),
                "at": "both" if words and limits else "island" if words else "limit",
            },
            keys=tuple(dict.fromkeys((*limits, *words))),
            read=read_outcome(case),
            margin=0 if limits else None,
            margin_unit="mA" if limits else "",
        )


def _supply_cap_words(v: Values) -> Words:
    kind = "a single-phase" if v["key"] == "supply.single_cap" else "a split single-phase"
    return (
        f"The aggregate of {kilowatts(v['total_w'])} is more than {kind} supply may carry "
        f"({kilowatts(v['cap_w'])}).",
        f"{kilowatts(v['total_w'])} - {kilowatts(v['cap_w'])} = "
        f"{kilowatts(v['total_w'] - v['cap_w'])} too much.",
    )


SUPPLY_CAP = Kind(
    "supply-cap",
    "stops",
    "Is the aggregate more than a single-phase or split single-phase supply may carry?",
    _supply_cap_words,
)


def supply_cap(case: Case) -> Iterator[Found]:
    """The aggregate is above the largest for a single-phase or split single-phase supply."""
    key = {1: "supply.single_cap", 2: "supply.split_cap"}.get(case.site.supply.phases)
    if key is None or key not in case.ready.book.values:
        return
    cap_w = case.ready.book.whole(key)
    over = case.sums.total[0] - scaled_power(cap_w)
    if over > 0:
        yield SUPPLY_CAP.found(
            "supply",
            {"total_w": whole_watts(case.sums.total[0]), "cap_w": cap_w, "key": key},
            keys=(key,),
            read=(*read_units(case, *CAPACITY), ("supply.phases", case.site.supply.phases)),
            margin=-over // SCALE_PER_W,
            margin_unit="W",
        )


PHASE_CAP = Kind(
    "phase-cap",
    "decide",
    "Does one phase carry more than is expected of single-phase plant?",
    lambda v: (
        f"Single-phase units put {kilowatts(v['phase_w'])} on phase {v['phase']}; above "
        f"{kilowatts(v['cap_w'])} three-phase units are expected.",
        f"{kilowatts(v['phase_w'])} against {kilowatts(v['cap_w'])}. The operator may allow it "
        "where a three-phase supply would cost too much.",
    ),
)


def phase_cap(case: Case) -> Iterator[Found]:
    """One phase has more capacity of single-phase units than the recommendation expects."""
    if "supply.phase_cap" not in case.ready.book.values or voltage_level(case.site) != "LV":
        return
    cap_w = case.ready.book.whole("supply.phase_cap")
    if max(amount for amount, _ in case.sums.phases.values()) <= scaled_power(cap_w):
        return
    # 2026-11-30: EREC G99 Issue 2, 7.6.3 speaks of single-phase units: others do not count here.
    sums = sums_of([line for line in case.lines if line.phases == 1])
    for phase in supply_phases(case.site):
        amount = sums.phases[phase][0]
        if amount > scaled_power(cap_w):
            yield PHASE_CAP.found(
                phase,
                {"phase": phase, "phase_w": whole_watts(amount), "cap_w": cap_w},
                keys=("supply.phase_cap",),
                read=read_units(case, *CAPACITY),
                margin=(scaled_power(cap_w) - amount) // SCALE_PER_W,
                margin_unit="W",
            )


PHASE_NOT_ON_SUPPLY = Kind(
    "phase-not-on-supply",
    "stops",
    "Is a unit on a phase that the supply does not have?",
    lambda v: (
        f"{v['unit']} is on {listed(v['phases'])}, which this supply does not have.",
        f"The supply has {listed(v['supply'])}.",
    ),
)


def phase_not_on_supply(case: Case) -> Iterator[Found]:
    """A unit on a phase that the supply lacks."""
    there = supply_phases(case.site)
    for line in case.lines:
        missing: list[str] = [phase for phase in line.unit.phases if phase not in there]
        if missing:
            yield PHASE_NOT_ON_SUPPLY.found(
                line.unit.id,
                {"unit": line.unit.id, "phases": missing, "supply": list(there)},
                read=(
                    (f"units[{line.index}].phases", line.unit.phases),
                    ("supply.phases", case.site.supply.phases),
                ),
            )


TAKEN_OUT = Kind(
    "taken-out",
    "inform",
    "Is a unit taken out that runs in parallel now?",
    lambda v: (
        f"{v['unit']} is taken out; the network operator is told so.",
        "What is sent for new plant says it too."
        if v["replaced"]
        else "No new plant takes its place.",
    ),
)


def taken_out(case: Case) -> Iterator[Found]:
    """A unit that runs in parallel now and goes."""
    replaced = any(not line.existing for line in case.lines)
    for i, unit in enumerate(case.site.units):
        if is_taken_out(unit):
            yield TAKEN_OUT.found(
                unit.id,
                {"unit": unit.id, "replaced": replaced},
                read=((f"units[{i}].status", unit.status),),
            )


VA_FOR_W = Kind(
    "va-for-w",
    "inform",
    "Is only the apparent power known, so that it stands in for the registered capacity?",
    lambda v: (
        f"Only the apparent power of {v['unit']} is known; {kilowatts(v['rated_va'], 'kVA')} "
        f"stands in for its registered capacity.",
        "At unity power factor kVA and kW are equal; otherwise kW is less, so this errs high.",
    ),
)


def apparent_for_real(case: Case) -> Iterator[Found]:
    """Only the apparent power is known, so it stands in for the registered capacity."""
    for line in case.lines:
        unit = line.unit
        if rating(unit.rated_w) is None and rating(unit.rated_va) is not None:
            yield VA_FOR_W.found(
                unit.id,
                {"unit": unit.id, "rated_va": rating(unit.rated_va)},
                read=(
                    (f"units[{line.index}].rated_w", unit.rated_w),
                    (f"units[{line.index}].rated_va", unit.rated_va),
                ),
            )


MA_FOR_VA = Kind(
    "ma-for-va",
    "inform",
    "Does a declared current stand in for the apparent power that the rulebook asks for?",
    lambda v: (
        f"The apparent power of {v['unit']} is not known; its declared output current of "
        f"{amps(v['rated_ma'])} a phase is taken for it.",
        "Worked out at the voltage of the procedure, phase to neutral.",
    ),
)

APPARENT_BELOW_RATED = Kind(
    "apparent-below-rated",
    "decide",
    "Is the apparent power that the rulebook asks for below the registered capacity?",
    lambda v: (
        f"{v['unit']} has an apparent power of {kilowatts(v['rated_va'], 'kVA')}, below its "
        f"registered capacity of {kilowatts(v['rated_w'])}; one of the two is wrong.",
        "Apparent power is never below real power.",
    ),
)


def apparent_power(case: Case) -> Iterator[Found]:
    """A stand-in for the apparent power if the rulebook asks for it, and a contradiction."""
    if not case.ready.asks_va:
        return
    for line in case.lines:
        unit = line.unit
        stated, declared, real = rating(unit.rated_va), rating(unit.rated_ma), rating(unit.rated_w)
        read = tuple(
            (f"units[{line.index}].{name}", getattr(unit, name))
            for name in ("rated_va", "rated_ma", "rated_w")
        )
        if stated is None and declared is not None:
            yield MA_FOR_VA.found(
                unit.id,
                {"unit": unit.id, "rated_ma": declared},
                keys=("voltage.nominal",),
                read=read,
            )
        elif stated is not None and real is not None and stated < real:
            yield APPARENT_BELOW_RATED.found(
                unit.id,
                {"unit": unit.id, "rated_va": stated, "rated_w": real},
                read=read,
            )


DECLARED_CURRENT = Kind(
    "declared-current",
    "decide",
    "Is a declared current over a limit that the registered capacity keeps?",
    lambda v: (
        f"{v['unit']} declares {amps(v['declared_ma'])} a phase, over the limit of "
        f"{amps(v['limit_ma'])} that its registered capacity keeps.",
        f"Decided on capacity: {amps(v['rated_ma'])} at 230 V and unity power factor. Ask whether "
        "the operator decides on the declared current.",
    ),
)


def declared_current(case: Case) -> Iterator[Found]:
    """A declared output current above a limit that the registered capacity keeps."""
    if all(rating(line.unit.rated_ma) is None for line in case.lines):
        return
    nominal_mv = case.ready.nominal_mv
    told: set[str] = set()
    for line in case.lines:
        declared = rating(line.unit.rated_ma)
        rated = line.rated[1] * SCALE_PER_W // line.phases
        # 2026-11-25: capacity decides the procedure; a declared current only adds a finding.
        broken = None
        if declared is not None:
            scaled = scaled_current(declared, nominal_mv)
            broken = _kept_by_capacity_alone(case, "largest_rated", rated, scaled)
        if declared is None or broken is None:
            continue
        told.update(line.unit.phases)
        test, limit_ma = broken
        yield DECLARED_CURRENT.found(
            line.unit.id,
            {
                "unit": line.unit.id,
                "declared_ma": declared,
                "rated_ma": whole_milliamps(rated, nominal_mv),
                "limit_ma": limit_ma,
            },
            keys=(test.condition.against,),
            read=read_outcome(case, "rated_ma"),
            margin=limit_ma - declared,
            margin_unit="mA",
        )
    if case.capacity_known:
        yield from _declared_sums(case, told)


DECLARED_SUM = Kind(
    "declared-sum",
    "decide",
    "Are the declared currents of a phase together over a limit that the capacities keep?",
    lambda v: (
        f"The declared currents on {v['phase']} add up to {amps(v['declared_ma'])}, past the limit "
        f"of {amps(v['limit_ma'])} that the registered capacities keep.",
        f"Decided on capacity: {amps(v['rated_ma'])} at 230 V and unity power factor. Ask whether "
        "the operator decides on the declared currents.",
    ),
)


def _declared_sums(case: Case, told: set[str]) -> Iterator[Found]:
    """The same for the sum on a phase where no single unit is above a limit."""
    nominal_mv = case.ready.nominal_mv
    for phase in supply_phases(case.site):
        on_phase = [line for line in case.lines if phase in line.unit.phases]
        if phase in told or all(rating(line.unit.rated_ma) is None for line in on_phase):
            continue
        declared = 0
        for line in on_phase:
            one = rating(line.unit.rated_ma)
            declared += line.quantity[0] * (
                line.rated[0] * SCALE_PER_W // line.phases
                if one is None
                else scaled_current(one, nominal_mv)
            )
        rated = case.sums.phases[phase][1]
        broken = _kept_by_capacity_alone(case, "largest_phase_sum", rated, declared)
        if broken is None:
            continue
        test, limit_ma = broken
        yield DECLARED_SUM.found(
            phase,
            {
                "phase": phase,
                "declared_ma": whole_milliamps(declared, nominal_mv),
                "rated_ma": whole_milliamps(rated, nominal_mv),
                "limit_ma": limit_ma,
            },
            keys=(test.condition.against,),
            read=read_outcome(case, "rated_ma"),
            margin=(scaled_current(limit_ma, nominal_mv) - declared) // (6 * nominal_mv),
            margin_unit="mA",
        )


def _kept_by_capacity_alone(
    case: Case, fact: str, rated: int, declared: int
) -> tuple[Test, int] | None:
    """The tightest limit of the row, in mA, that the capacity keeps and the current breaks.

    `rated` and `declared` are per phase [scaled].
    """
    if case.evaluation.row is None:
        return None
    broken = [
        (test.limit, test)
        for test in case.ready.rows[case.evaluation.row].tests
        if test.fact == fact
        and isinstance(test.limit, int)
        and holds(test, (rated, rated))
        and not holds(test, (declared, declared))
    ]
    if not broken:
        return None
    limit, test = min(broken, key=lambda entry: entry[0])
    return test, whole_milliamps(limit, case.ready.nominal_mv)


def _software_cap_words(v: Values) -> Words:
    held = {
        "software": "by software",
        "none": "by nothing that the facts name",
        "unknown": "in a way that is not known",
    }[v["limited_by"]]
    return (
        f"{v['unit']} is held to {kilowatts(v['rated_w'])} {held}, below its design capacity of "
        f"{kilowatts(v['design_w'])}.",
        "The published text wants a cap that only the manufacturer's people can lift.",
    )


SOFTWARE_CAP = Kind(
    "software-cap",
    "decide",
    "Is a capacity held down by something that others than the maker's people can lift?",
    _software_cap_words,
    also=UNCHANGED,
    instead=lambda line: structs.replace(line, rated=line.design or line.rated),
)


def limited_rating(case: Case) -> Iterator[Found]:
    """A registered capacity below the design capacity by means that the text does not accept."""
    for line in case.lines:
        unit = line.unit
        if line.design is None or line.design[0] <= line.rated[1] or unit.limited_by == "maker":
            continue
        # 2026-11-25: from `sgi-1` up the lower rating counts as registered, with this finding: the
        # published text says both.
        held_by = unit.limited_by if isinstance(unit.limited_by, str) else "unknown"
        yield SOFTWARE_CAP.found(
            unit.id,
            {
                "unit": unit.id,
                "rated_w": line.rated[0],
                "design_w": line.design[0],
                "limited_by": held_by,
            },
            read=(
                (f"units[{line.index}].limited_by", unit.limited_by),
                (f"units[{line.index}].design_w", unit.design_w),
                (f"units[{line.index}].rated_w", unit.rated_w),
            ),
        )


DESIGN_BELOW_RATED = Kind(
    "design-below-rated",
    "decide",
    "Is a design capacity below its registered capacity?",
    lambda v: (
        f"{v['unit']} has a design capacity of {kilowatts(v['design_w'])}, below its registered "
        f"capacity of {kilowatts(v['rated_w'])}; one of the two is wrong.",
        "The design capacity is the largest the unit is made for; the registered capacity can't be "
        "more.",
    ),
)


def design_below_rated(case: Case) -> Iterator[Found]:
    """A design capacity below the registered capacity contradicts its definition."""
    for line in case.lines:
        if line.design is not None and line.design[1] < line.rated[0]:
            yield DESIGN_BELOW_RATED.found(
                line.unit.id,
                {"unit": line.unit.id, "rated_w": line.rated[0], "design_w": line.design[0]},
                read=(
                    (f"units[{line.index}].design_w", line.unit.design_w),
                    (f"units[{line.index}].rated_w", line.unit.rated_w),
                ),
            )


QUESTIONS = (
    undetermined,
    rule_missing,
    beyond,
    phase_not_on_supply,
    supply_cap,
    boundary,
    phase_cap,
    taken_out,
    declared_current,
    limited_rating,
    design_below_rated,
    apparent_for_real,
    apparent_power,
)

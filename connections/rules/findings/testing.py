"""Type tests of units: their extent, their standard, and what is not known."""

import datetime as dt
from collections.abc import Iterator

from msgspec import structs

from connections.electrical.phase_sums import SCALE_PER_W, scaled_current
from connections.facts.decision import Plain
from connections.facts.defaults import (
    certificates_of,
    first_day,
    is_for_rating,
    kind_of,
    known,
    last_day,
    mode_of,
    rating,
    voltage_level,
)
from connections.facts.site import Certificate, Unit
from connections.rulebook.book import Value
from connections.rulebook.telling import dated
from connections.rules.case import Case
from connections.rules.completions import evaluate
from connections.rules.deciding_facts import deciding_facts, fully_tested, in_park, park_design
from connections.rules.figures import amps, kilowatts, listed
from connections.rules.kinds import UNCHANGED, Found, Kind, Read, Values, Words
from connections.rules.plant import (
    Line,
    as_if_all_counted,
    base_of,
    day_of,
    holds_on,
    standard_in,
    tested_as,
)

STANDARD_DATES = {
    "G83": ("standard.g83.from", "standard.g83.until"),
    "G59": ("standard.g59.from", "standard.g59.until"),
    "G98": ("standard.g98.from", ""),
    "G98/NI": ("standard.g98-ni.from", ""),
    "G99": ("standard.g99.from", ""),
    "G99/NI": ("standard.g99-ni.from", ""),
}
"""Keys of the first and last day of each standard; no second key for a standard still open."""

SHORT_TERM = "short-term-parallel"


def _not_type_tested_words(v: Values) -> Words:
    words = {
        "no": "is not type tested",
        "part": "is only partly type tested",
        "unknown": "may or may not be type tested; that is not known",
    }[v["type_tested"]]
    return (
        f"{v['unit']} {words}.",
        "Connect and notify and the small-installation routes take fully type tested units only; "
        "elsewhere untested units add test forms and often a witness."
        + (
            f" Form {v['not_titled']} is titled for inverters and none for an asynchronous unit: "
            "which one to send is to be decided with the network operator."
            if v["not_titled"]
            else ""
        ),
    )


NOT_TYPE_TESTED = Kind(
    "not-type-tested",
    "decide",
    "Is a unit not, only partly, or not known to be fully type tested?",
    _not_type_tested_words,
    also=UNCHANGED,
    instead=lambda line: tested_as(line, "full"),
)


def not_type_tested(case: Case) -> Iterator[Found]:
    """A counted unit of which no certificate says that it is fully type tested."""
    form = case.ready.book.values.get("form.test_inverter")
    for line in case.lines:
        if not line.certificates or any(one.tested == ("full",) for one in line.certificates):
            continue
        said = {one.type_tested for _, one in line.counting}
        standing = "unknown"
        if said and said <= {"part", "no"}:
            standing = "part" if "part" in said else "no"
        untitled = form if kind_of(line.unit) == "asynchronous" else None
        yield NOT_TYPE_TESTED.found(
            line.unit.id,
            {
                "unit": line.unit.id,
                "type_tested": standing,
                "not_titled": untitled.written if untitled else "",
            },
            keys=(untitled.key,) if untitled else (),
            read=(
                *_read_certificates(case, line, "type_tested"),
                *(((f"units[{line.index}].kind", line.unit.kind),) if untitled else ()),
            ),
        )


def _certificate(v: Values) -> str:
    named = f", {v['standard']}," if v["standard"] else ""
    return f"Certificate {v['number']} of {v['unit']}{named}"


_NONE_COUNTS = "No other certificate counts, so the unit is read as not type tested."

CERTIFICATE_RATING = Kind(
    "certificate-rating",
    "decide",
    "Is a certificate for another rating than that of its unit?",
    lambda v: (
        f"{_certificate(v)} is for {kilowatts(v['for_w'])}, and the unit has "
        f"{kilowatts(v['rated_w'])}; it does not count.",
        "A certificate counts only where its entry in the register is for this rating."
        + ("" if v["another"] else f" {_NONE_COUNTS}"),
    ),
    also=UNCHANGED,
    instead=as_if_all_counted,
)


def certificate_rating(case: Case) -> Iterator[Found]:
    """A certificate whose entry is for another rating than the unit has."""
    for line in case.lines:
        for n, one in enumerate(certificates_of(line.unit)):
            if is_for_rating(one, line.unit) is False:
                yield CERTIFICATE_RATING.found(
                    f"{line.unit.id}/{n + 1}",
                    {
                        **_values(case, line, n, one),
                        "for_w": rating(one.rated_w),
                        "rated_w": line.rated[0],
                    },
                    read=_read_certificates(case, line, "standard"),
                )


CERTIFICATE_RUN_OUT = Kind(
    "certificate-run-out",
    "decide",
    "Had a certificate run out on the unit's date?",
    lambda v: (
        f"{_certificate(v)} was valid until {dated(v['until'])}, before {dated(v['day'])}; it "
        "does not count.",
        "The unit's date is its commissioning, else its planned day, else that of the site."
        + ("" if v["another"] else f" {_NONE_COUNTS}"),
    ),
    also=UNCHANGED,
    instead=as_if_all_counted,
)


def certificate_run_out(case: Case) -> Iterator[Found]:
    """A certificate whose last day was before the unit's date."""
    for line in case.lines:
        day = day_of(line.unit, case.site)
        for n, one in enumerate(certificates_of(line.unit)):
            until = known(one.valid_until)
            if until is not None and not holds_on(one, day):
                yield CERTIFICATE_RUN_OUT.found(
                    f"{line.unit.id}/{n + 1}",
                    {
                        **_values(case, line, n, one),
                        "until": until.isoformat(),
                        "day": day.isoformat(),
                    },
                    read=_read_certificates(case, line, "standard"),
                )


FULL_TEST_TOO_LARGE = Kind(
    "full-test-too-large",
    "decide",
    "Is a module said to be fully type tested above the size that can be?",
    lambda v: (
        f"{v['units']} said to be fully type tested, but the module's design capacity of "
        f"{kilowatts(v['design_w'])} is above {kilowatts(v['limit_w'])}; read as partly tested.",
        f"The definition speaks of the module and ends at {kilowatts(v['limit_w'])}: all inverters "
        "are one module, each synchronous unit is its own.",
    ),
)


def full_test_too_large(case: Case) -> Iterator[Found]:
    """A module with units declared fully type tested, above the largest that can be."""
    if "full_test.design_limit" not in case.ready.book.values:
        return
    limit_w = case.ready.book.whole("full_test.design_limit")
    park = [line for line in case.lines if in_park(line)]
    modules = [(park, park_design(park)[0]), *_alone(case)]
    for lines, design in modules:
        if design <= limit_w:
            continue
        said = [
            line.unit.id
            for line in lines
            if any(one.type_tested == "full" for _, one in line.counting)
        ]
        if said:
            yield FULL_TEST_TOO_LARGE.found(
                lines[0].unit.id if len(lines) == 1 else "site",
                {
                    "units": f"{listed(sorted(said))} {'is' if len(said) == 1 else 'are'}",
                    "design_w": design,
                    "limit_w": limit_w,
                },
                keys=("full_test.design_limit",),
                read=tuple(
                    read
                    for line in lines
                    for read in (
                        *_read_certificates(case, line, "type_tested"),
                        *_read_unit(line, "design_w", "rated_w", "quantity", "kind"),
                    )
                ),
                margin=limit_w - design,
                margin_unit="W",
            )


def _alone(case: Case) -> Iterator[tuple[list[Line], int]]:
    """Lines whose every unit is a module of its own, each with its design capacity [W]."""
    for line in case.lines:
        if not in_park(line):
            yield [line], (line.design or line.rated)[0]


INDUCTION_TEST_FORM = Kind(
    "induction-test-form",
    "decide",
    "Is an induction machine not fully type tested, so that its test form must be chosen?",
    lambda v: (
        f"Which test form reports {v['unit']}, an asynchronous machine, must be decided.",
        f"Form {v['inverter']} is titled for inverters, {v['synchronous']} for synchronous units; "
        "the operator says which it takes.",
    ),
)
_TEST_FORM = "form.test_inverter"


def induction_test_form(case: Case) -> Iterator[Found]:
    """An asynchronous machine not fully tested, where test forms go with the application."""
    steps = case.ready.steps.get(case.outcome, ())
    if not any(_TEST_FORM in step.keys for step in steps):
        return
    values = case.ready.book.values
    for line in case.lines:
        if line.kind == "asynchronous" and fully_tested(line, case.lines, case.ready) is not True:
            yield INDUCTION_TEST_FORM.found(
                line.unit.id,
                {
                    "unit": line.unit.id,
                    "inverter": values[_TEST_FORM].written,
                    "synchronous": values["form.test_synchronous"].written,
                },
                keys=(_TEST_FORM, "form.test_synchronous"),
                read=(
                    *_read_unit(line, "kind"),
                    *_read_certificates(case, line, "type_tested"),
                ),
            )


NO_REGISTER_REFERENCE = Kind(
    "no-register-reference",
    "decide",
    "Does something fully type tested lack its entry in the register?",
    lambda v: (
        f"No entry of the type-test register is named for {v['unit']}.",
        "It counts as fully type tested as declared; the operator will look for the reference.",
    ),
    also=UNCHANGED,
    instead=lambda line: tested_as(line, "no"),
)


def no_register_reference(case: Case) -> Iterator[Found]:
    """Declared fully type tested, but without an entry of the type-test register."""
    for line in case.lines:
        full = [one for _, one in line.counting if one.type_tested == "full"]
        if full and not any((known(one.reference) or "").strip() for one in full):
            yield NO_REGISTER_REFERENCE.found(
                line.unit.id,
                {"unit": line.unit.id},
                read=_read_certificates(case, line, "type_tested", "reference"),
            )


EXISTING_UNDATED = Kind(
    "existing-undated",
    "decide",
    "Does existing plant lack a commissioning date that could change something?",
    lambda v: (
        f"Of the commissioning date of {v['unit']} only the month is known, {dated(v['month'])}."
        if v["month"]
        else f"The commissioning date of {v['unit']} is not known.",
        "The date settles which recommendation older plant was connected under, and whether "
        "storage counts in the module.",
    ),
)


def existing_undated(case: Case) -> Iterator[Found]:
    """Existing plant whose date can change something, and is not known or only by its month.

    It can change the outcome, or bring the module across the largest design capacity that can be
    fully type tested. For older standards that is a fact that leaves the outcome open.
    """
    for place, line in enumerate(case.lines):
        path = f"units[{line.index}].commissioned_on"
        if path in case.possible.unknown:
            keys = ("earlier.before",)
        elif line.separate_storage is None and _module_matters(case, place):
            keys = ("storage.separate_before",)
        else:
            continue
        when = line.unit.commissioned_on
        yield EXISTING_UNDATED.found(
            line.unit.id,
            {"unit": line.unit.id, "month": known(when) or ""},
            keys=keys,
            read=((path, when), (f"units[{line.index}].status", line.unit.status)),
        )


def _module_matters(case: Case, place: int) -> bool:
    """Whether the outcome or a full type test depends on a line's storage being in the module."""
    lines = list(case.lines)
    lines[place] = structs.replace(lines[place], separate_storage=True)
    as_is, apart = (
        evaluate(case.ready, deciding_facts(each, case.setting, case.ready))
        for each in (case.lines, lines)
    )
    if (as_is.row, as_is.settled) != (apart.row, apart.settled):
        return True
    limit = case.ready.full_test_scaled // SCALE_PER_W
    return park_design(lines)[0] <= limit < park_design(case.lines)[0]


def _can_island_words(v: Values) -> Words:
    words = "can run as an island" if v["known"] else "may be able to run as an island; not known"
    return (
        f"{v['unit']} {words}: earthing, changeover and the operator's rule need a decision.",
        "Whether EREC G98 takes in such plant is read both ways; EREC G99 does not ask it of small "
        "generation installations.",
    )


CAN_ISLAND = Kind(
    "can-island",
    "decide",
    "Can a unit run as an island, or may it?",
    _can_island_words,
    also=UNCHANGED,
    instead=lambda line: _with(line, can_island=False),
)


def can_island(case: Case) -> Iterator[Found]:
    """A unit that can, or may, run as an island."""
    for line in case.lines:
        if line.unit.can_island in (True, None):
            yield CAN_ISLAND.found(
                line.unit.id,
                {"unit": line.unit.id, "known": line.unit.can_island is True},
                keys=("g98.islanding_reading",),
                read=((f"units[{line.index}].can_island", line.unit.can_island),),
            )


SHORT_TERM_PARALLEL = Kind(
    "short-term-parallel",
    "decide",
    "Does a unit run in parallel for short times only?",
    lambda v: (
        f"{v['unit']} runs in short-term parallel: it is never connected first and notified after.",
        f"Its protection is set as such plant's is: {listed(v['settings'])}."
        if v["settings"]
        else "Its protection settings are not held; ask the network operator.",
    ),
    also=UNCHANGED,
    instead=lambda line: _with(line, operating_mode="long-term-parallel"),
)


def short_term_parallel(case: Case) -> Iterator[Found]:
    """A counted unit that runs in parallel for short times only."""
    book = case.ready.book
    level = voltage_level(case.site)
    tables = [
        table
        for table in book.settings
        if (table.operating_mode, table.voltage_level) == (SHORT_TERM, level)
    ]
    settings: list[str] = [
        f"{each.function} {each.written}" + (f" within {each.delay_ms} ms" if each.delay_ms else "")
        for table in tables
        for each in table.settings
    ]
    for line in case.lines:
        if mode_of(line.unit) == SHORT_TERM:
            yield SHORT_TERM_PARALLEL.found(
                line.unit.id,
                {"unit": line.unit.id, "settings": settings},
                keys=("parallel.short_term_limit",)
                if "parallel.short_term_limit" in book.values
                else (),
                sources=tuple(str(table.source) for table in tables),
                read=((f"units[{line.index}].operating_mode", line.unit.operating_mode),),
            )


FACT_NOT_KNOWN = Kind(
    "fact-not-known",
    "decide",
    "Is a status, kind or operating mode not known, and read strictly?",
    lambda v: (
        f"The {v['fact']} of {v['unit']} is not known; read as {v['read_as']}.",
        "The stricter reading was taken.",
    ),
    also=UNCHANGED,
    instead=lambda line: _with(
        structs.replace(line, kind="inverter"), operating_mode="long-term-parallel"
    ),
)


def fact_not_known(case: Case) -> Iterator[Found]:
    """An unknown fact that never makes a site undetermined, and its reading."""
    for line in case.lines:
        unit = line.unit
        if None not in (unit.status, unit.kind, unit.operating_mode):
            continue
        for name, value, read_as in (
            ("status", unit.status, "proposed"),
            ("kind", unit.kind, "not an inverter"),
            ("operating_mode", unit.operating_mode, "not long-term parallel"),
        ):
            if value is None:
                yield FACT_NOT_KNOWN.found(
                    f"{unit.id}/{name}",
                    {"unit": unit.id, "fact": name.replace("_", " "), "read_as": read_as},
                    read=((f"units[{line.index}].{name}", value),),
                )


def _standard_date_words(v: Values) -> Words:
    how = "was not yet in use on" if v["early"] else "was no longer open on"
    return (
        f"{v['unit']} names {v['standard']}, which {how} {dated(v['day'])}.",
        f"The rulebook's date is {dated(v['limit'])}.",
    )


STANDARD_DATE = Kind(
    "standard-date",
    "inform",
    "Was a standard not yet, or no longer, open on the unit's date?",
    _standard_date_words,
)


def standard_date(case: Case) -> Iterator[Found]:
    """A standard not yet published, or already closed, on the unit's date.

    Of a month every day must lie outside.
    """
    values = case.ready.book.values
    for line in case.lines:
        unit = line.unit
        when: dt.date | str | None = known(unit.commissioned_on)
        if when is None and not line.existing:
            when = _planned(case, unit)
        first, last = first_day(when), last_day(when)
        named = dict.fromkeys(standard_in(one) for _, one in line.counting)
        for standard in named:
            if standard in (None, "other") or first is None or last is None:
                continue
            own = STANDARD_DATES.get(standard)
            if own is None or own[0] not in values:
                own = STANDARD_DATES.get(base_of(standard), ("", ""))
            since, until = _day_of(values.get(own[0])), _day_of(values.get(own[1]))
            early = since is not None and last < since
            late = until is not None and first > until
            if early or late:
                key = own[0] if early else own[1]
                yield STANDARD_DATE.found(
                    unit.id if len(named) == 1 else f"{unit.id}/{standard}",
                    {
                        "unit": unit.id,
                        "standard": standard,
                        "day": str(when),
                        "limit": str(values[key].amount),
                        "early": early,
                    },
                    keys=(key,),
                    read=(
                        *_read_certificates(case, line, "standard"),
                        *_read_unit(line, "commissioned_on", "planned_on"),
                    ),
                )


STANDARD_TOO_SMALL = Kind(
    "standard-too-small",
    "decide",
    "Is a unit said to be tested to G98, and larger than that covers?",
    lambda v: (
        f"{v['unit']} is said to be tested to G98, which covers units up to "
        f"{amps(v['limit_ma'])} a phase only.",
        "Check the register entry; a larger unit is tested to G99.",
    ),
    also=UNCHANGED,
    instead=lambda line: tested_as(line, "no"),
)


def standard_too_small(case: Case) -> Iterator[Found]:
    """Declared as tested micro-generation alone, but larger than that recommendation covers."""
    if "g98.unit_limit" not in case.ready.book.values:
        return
    limit_ma = case.ready.book.whole("g98.unit_limit")
    limit = scaled_current(limit_ma, case.ready.nominal_mv)
    for line in case.lines:
        if (line.design or line.rated)[0] * SCALE_PER_W // line.phases <= limit:
            continue
        if {base_of(standard_in(one) or "") for _, one in line.counting} == {"G98"}:
            yield STANDARD_TOO_SMALL.found(
                line.unit.id,
                {"unit": line.unit.id, "limit_ma": limit_ma},
                keys=("g98.unit_limit",),
                read=(
                    *_read_certificates(case, line, "standard"),
                    *_read_unit(line, "rated_w", "design_w"),
                ),
            )


SWITCHED_ONLY = Kind(
    "switched-only",
    "inform",
    "Does a unit never run in parallel, so that it is not counted?",
    lambda v: (
        f"{v['unit']} never runs in parallel and is not counted.",
        "Switched alternative supplies follow interlock rules of their own.",
    ),
)


def switched_only(case: Case) -> Iterator[Found]:
    """Plant that never runs in parallel: listed, not counted."""
    for i, unit in enumerate(case.site.units):
        if mode_of(unit) == "switched":
            yield SWITCHED_ONLY.found(
                unit.id,
                {"unit": unit.id},
                read=((f"units[{i}].operating_mode", unit.operating_mode),),
            )


QUESTIONS = (
    not_type_tested,
    certificate_rating,
    certificate_run_out,
    full_test_too_large,
    induction_test_form,
    no_register_reference,
    existing_undated,
    can_island,
    short_term_parallel,
    fact_not_known,
    standard_date,
    standard_too_small,
    switched_only,
)


def _with(line: Line, **facts: object) -> Line:
    return structs.replace(line, unit=structs.replace(line.unit, **facts))


def _planned(case: Case, unit: Unit) -> dt.date:
    return known(unit.planned_on) or known(case.site.planned_on) or case.site.on_date


def _values(case: Case, line: Line, n: int, one: Certificate) -> dict[str, Plain]:
    return {
        "unit": line.unit.id,
        "number": n + 1,
        "standard": (known(one.standard) or "").strip(),
        "another": bool(line.counting),
    }


def _read_certificates(case: Case, line: Line, *names: str) -> tuple[Read, ...]:
    """Facts of every certificate of a unit, and what settles whether it counts.

    Of a unit without any, those of the first that it could have.
    """
    read: dict[str, object] = {}
    for n, one in enumerate(certificates_of(line.unit) or (Certificate(),)):
        at = f"units[{line.index}].standards[{n}]"
        read |= {f"{at}.{name}": getattr(one, name) for name in names}
        if rating(one.rated_w):
            read[f"{at}.rated_w"] = one.rated_w
            read |= _read_unit(line, "rated_w", "rated_va")
        if known(one.valid_until):
            read[f"{at}.valid_until"] = one.valid_until
            read |= _read_unit(line, "status", "commissioned_on", "planned_on")
            read |= {"planned_on": case.site.planned_on, "on_date": case.site.on_date}
    return tuple(read.items())


def _read_unit(line: Line, *names: str) -> tuple[Read, ...]:
    return tuple((f"units[{line.index}].{name}", getattr(line.unit, name)) for name in names)


def _day_of(value: Value | None) -> dt.date | None:
    return value.amount if value is not None and isinstance(value.amount, dt.date) else None

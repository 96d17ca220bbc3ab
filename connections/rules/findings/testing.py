"""What is type tested, to which standard, and what is unknown about it."""

import re
from collections.abc import Iterator
from functools import cache

from connections.electrical.phase_sums import SCALE_PER_W, scaled_current
from connections.facts.defaults import known, mode_of
from connections.rules.case import Case, Found
from connections.rules.plant import base_of, standard_of


def not_type_tested(case: Case) -> Iterator[Found]:
    """A counted unit that is not, or only partly, type tested, or of unknown standing."""
    for line in case.lines:
        unit = line.unit
        if unit.type_tested == "full":
            continue
        standing = unit.type_tested if isinstance(unit.type_tested, str) else "unknown"
        yield Found(
            "not-type-tested",
            unit.id,
            "decide",
            {"unit": unit.id, "type_tested": standing},
            read=((f"units[{line.index}].type_tested", unit.type_tested),),
        )


def full_test_too_large(case: Case) -> Iterator[Found]:
    """Declared fully type tested above the largest design capacity of that definition."""
    if "full_test.design_limit" not in case.ready.book.values:
        return
    limit_w = case.ready.book.whole("full_test.design_limit")
    for line in case.lines:
        design = line.design or line.rated
        if line.unit.type_tested == "full" and design[0] > limit_w:
            yield Found(
                "full-test-too-large",
                line.unit.id,
                "decide",
                {"unit": line.unit.id, "design_w": design[0], "limit_w": limit_w},
                keys=("full_test.design_limit",),
                read=(
                    (f"units[{line.index}].type_tested", line.unit.type_tested),
                    (f"units[{line.index}].design_w", line.unit.design_w),
                    (f"units[{line.index}].rated_w", line.unit.rated_w),
                ),
                margin=limit_w - design[0],
                margin_unit="W",
            )


def no_register_reference(case: Case) -> Iterator[Found]:
    """Declared fully type tested, but no entry of the type-test register is named."""
    for line in case.lines:
        unit = line.unit
        if unit.type_tested == "full" and not (known(unit.type_test_reference) or "").strip():
            yield Found(
                "no-register-reference",
                unit.id,
                "decide",
                {"unit": unit.id},
                read=(
                    (f"units[{line.index}].type_tested", unit.type_tested),
                    (f"units[{line.index}].type_test_reference", unit.type_test_reference),
                ),
            )


def existing_undated(case: Case) -> Iterator[Found]:
    """Existing plant whose commissioning date is not known."""
    for line in case.lines:
        if line.existing and not known(line.unit.commissioned_on):
            yield Found(
                "existing-undated",
                line.unit.id,
                "decide",
                {"unit": line.unit.id},
                keys=("earlier.before",),
                read=(
                    (f"units[{line.index}].commissioned_on", line.unit.commissioned_on),
                    (f"units[{line.index}].status", line.unit.status),
                ),
            )


def can_island(case: Case) -> Iterator[Found]:
    """A unit that can, or may, run as an island."""
    for line in case.lines:
        if line.unit.can_island in (True, None):
            yield Found(
                "can-island",
                line.unit.id,
                "decide",
                {"unit": line.unit.id, "known": line.unit.can_island is True},
                keys=("g98.islanding",),
                read=((f"units[{line.index}].can_island", line.unit.can_island),),
            )


def fact_not_known(case: Case) -> Iterator[Found]:
    """A fact given as unknown that never makes a site undetermined, and how it was read."""
    for line in case.lines:
        unit = line.unit
        for name, value, read_as in (
            ("status", unit.status, "proposed"),
            ("kind", unit.kind, "not an inverter"),
            ("operating_mode", unit.operating_mode, "not long-term parallel"),
        ):
            if value is None:
                yield Found(
                    "fact-not-known",
                    f"{unit.id}/{name}",
                    "decide",
                    {"unit": unit.id, "fact": name.replace("_", " "), "read_as": read_as},
                    read=((f"units[{line.index}].{name}", value),),
                )


def standard_date(case: Case) -> Iterator[Found]:
    """A standard that was not yet published, or no longer open, on the unit's date."""
    values = case.ready.book.values
    for line in case.lines:
        unit = line.unit
        standard = standard_of(unit)
        day = known(unit.commissioned_on) if line.existing else known(unit.planned_on)
        day = day or (None if line.existing else known(case.site.planned_on) or case.site.on_date)
        if standard in (None, "other") or day is None:
            continue
        name = f"standard.{_as_key(standard)}"
        if f"{name}.from" not in values:
            name = f"standard.{_as_key(base_of(standard))}"
        since, until = values.get(f"{name}.from"), values.get(f"{name}.until")
        early = since is not None and day < since.amount  # type: ignore[operator]
        late = until is not None and day > until.amount  # type: ignore[operator]
        if early or late:
            key = f"{name}.from" if early else f"{name}.until"
            yield Found(
                "standard-date",
                unit.id,
                "inform",
                {
                    "unit": unit.id,
                    "standard": standard,
                    "day": day.isoformat(),
                    "limit": str(values[key].amount),
                    "early": early,
                },
                keys=(key,),
                read=(
                    (f"units[{line.index}].standard", unit.standard),
                    (f"units[{line.index}].commissioned_on", unit.commissioned_on),
                    (f"units[{line.index}].planned_on", unit.planned_on),
                ),
            )


@cache
def _as_key(standard: str) -> str:
    """ "G98/NI" as "g98-ni", which can stand in the key of a value."""
    return re.sub(r"[^a-z0-9]+", "-", standard.lower())


def standard_too_small(case: Case) -> Iterator[Found]:
    """Said to be tested as micro-generation, but larger than that recommendation covers."""
    if "g98.unit_limit" not in case.ready.book.values:
        return
    limit_ma = case.ready.book.whole("g98.unit_limit")
    limit = scaled_current(limit_ma, case.ready.nominal_mv)
    for line in case.lines:
        largest = (line.design or line.rated)[0] * SCALE_PER_W // line.phases
        if base_of(standard_of(line.unit) or "") == "G98" and largest > limit:
            yield Found(
                "standard-too-small",
                line.unit.id,
                "decide",
                {"unit": line.unit.id, "limit_ma": limit_ma},
                keys=("g98.unit_limit",),
                read=(
                    (f"units[{line.index}].standard", line.unit.standard),
                    (f"units[{line.index}].rated_w", line.unit.rated_w),
                    (f"units[{line.index}].design_w", line.unit.design_w),
                ),
            )


def switched_only(case: Case) -> Iterator[Found]:
    """Plant that never runs in parallel: listed, not counted."""
    for i, unit in enumerate(case.site.units):
        if mode_of(unit) == "switched":
            yield Found(
                "switched-only",
                unit.id,
                "inform",
                {"unit": unit.id},
                read=((f"units[{i}].operating_mode", unit.operating_mode),),
            )


QUESTIONS = (
    not_type_tested,
    full_test_too_large,
    no_register_reference,
    existing_undated,
    can_island,
    fact_not_known,
    standard_date,
    standard_too_small,
    switched_only,
)

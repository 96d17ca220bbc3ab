"""Tested conditions as readable comparisons: fact, value, limit, margin, and source."""

from connections.electrical.phase_sums import SCALE_PER_W, whole_milliamps, whole_watts
from connections.facts.deciding import BY_NAME, PER_PHASE, UNITS_OF, FactKind
from connections.facts.decision import Comparison, Plain
from connections.rulebook.telling import certainty_in_words
from connections.rules.case import Case
from connections.rules.deciding_facts import NO_LIMIT
from connections.rules.figures import in_unit, listed
from connections.rules.table import ABOVE, AT_LEAST, AT_MOST, BELOW, ONE_OF, FactValue, Test

SCALED = ("W", "VA", "Wp")
"""Units that hold SCALE_PER_W scaled units each."""

_WORDS = {AT_MOST: "at most", BELOW: "below", AT_LEAST: "at least", ABOVE: "above"}
_NAMES = {
    AT_MOST: "at_most",
    BELOW: "below",
    AT_LEAST: "at_least",
    ABOVE: "above",
    ONE_OF: "one_of",
}


def comparison(case: Case, test: Test) -> Comparison:
    """The comparison of one condition in a tried row of the table."""
    return compared(case, test, case.evaluation.results[test.slot])


def compared(case: Case, test: Test, result: bool | None) -> Comparison:
    """The comparison of one condition with its result, in a row or of a step."""
    book = case.ready.book
    fact = BY_NAME[test.fact]
    raw = case.facts[test.fact]
    key = test.condition.against
    found = book.values.get(key) if key else None
    unit = _unit(fact.kind, found.unit if found else "")
    value = _shown(raw, unit, case.ready.nominal_mv)
    limit = _limit(test, unit, case.ready.nominal_mv)
    margin = _margin(test, raw, unit, case.ready.nominal_mv)
    row_source = "" if found else "the decision table"
    return Comparison(
        fact=test.fact,
        op=_NAMES.get(test.op, "is"),
        key=key,
        value=value,
        limit=limit,
        unit=unit,
        margin=margin,
        result=result,
        says=_sentence(test, fact.says, value, limit, unit, result),
        paths=fact.paths,
        source=str(found.source) if found else row_source,
        certainty=certainty_in_words(book, found, name=False) if found else "",
        layer=found.layer if found else "",
    )


def _unit(kind: FactKind, limit_unit: str) -> str:
    if kind in PER_PHASE:
        return limit_unit if limit_unit in ("W", "VA") else "mA"
    return "count" if kind == "count" else UNITS_OF.get(kind, "")


def _whole(scaled: int, unit: str, nominal_mv: int) -> int:
    if unit == "mA":
        return whole_milliamps(scaled, nominal_mv)
    return whole_watts(scaled) if unit in SCALED else scaled


def _shown(value: FactValue, unit: str, nominal_mv: int) -> Plain:
    if isinstance(value, tuple):
        low, high = value
        if low == NO_LIMIT:
            return None
        return _whole(low, unit, nominal_mv) if low == high else None
    return value


def _limit(test: Test, unit: str, nominal_mv: int) -> Plain:
    limit = test.limit
    if isinstance(limit, frozenset):
        return sorted(limit)
    if isinstance(limit, (bool, str)):
        return limit
    return _whole(limit, unit, nominal_mv)


def _margin(test: Test, value: FactValue, unit: str, nominal_mv: int) -> int | None:
    """The margin to the limit, rounded down."""
    if not isinstance(value, tuple) or value[0] != value[1] or value[0] == NO_LIMIT:
        return None
    limit = test.limit
    if not isinstance(limit, int) or isinstance(limit, bool):
        return None
    left = limit - value[0] if test.op in (AT_MOST, BELOW) else value[0] - limit
    if unit == "mA":
        return left // (6 * nominal_mv)
    return left // SCALE_PER_W if unit in SCALED else left


def _sentence(
    test: Test, says: str, value: Plain, limit: Plain, unit: str, result: bool | None
) -> str:
    says = says[0].upper() + says[1:]
    if isinstance(value, bool) or isinstance(limit, bool):
        answer = {True: "yes", False: "no"}.get(value, "cannot tell")  # type: ignore[arg-type]
        return f"{says}: {answer}."
    if isinstance(value, str):
        return f"{says}: {value}."
    name = _WORDS.get(test.op, "")
    if isinstance(limit, list):
        bound = f"one of {listed(limit, 'or')}"
    else:
        assert isinstance(limit, int)
        bound = f"{name} {in_unit(limit, '' if unit == 'count' else unit)}".strip()
    if value is None:
        shown = "none" if test.fact == "export_limit" else "not known"
        return f"{says}: {shown} (wanted: {bound})."
    assert isinstance(value, int)
    shown = in_unit(value, "" if unit == "count" else unit)
    verdict = {True: "", False: "not "}.get(result, "cannot tell whether ")  # type: ignore[arg-type]
    return f"{says}: {shown}, {verdict}{bound}."

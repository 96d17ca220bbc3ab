"""The certainty of the values behind a decision.

One line counts the used values that are only secondary or from memory, and that nobody of the firm
has read in the document. A value has its own line only if it made the choice (the one failed
condition of a row) or the site is within five hundredths of it.
"""

from collections.abc import Iterator

from connections.rules.case import Case
from connections.rules.kinds import Found, Kind, Values, Words
from connections.rules.table import Test

_NEAR = 20  # one twentieth, 5 %


UNCERTAIN_VALUES = Kind(
    "uncertain-values",
    "inform",
    "Are some of the values used only secondary, or from memory?",
    lambda v: (
        f"{v['n']} of the {v['m']} values used were read only in secondary sources or stand from "
        "memory.",
        " ".join(v["says"]),
    ),
)


def _uncertain_value_words(v: Values) -> Words:
    why = "made the choice" if v["chose"] else "stands within 5 % of this site's figure"
    return (
        f"A value that is {v['certainty']} {why}: {v['says']}",
        f"{v['key']} = {v['written']}; check it before relying on it.",
    )


UNCERTAIN_VALUE = Kind(
    "uncertain-value",
    "inform",
    "Did an unsure value make the choice, or does the site stand within 5 % of it?",
    _uncertain_value_words,
)


def uncertain_values(case: Case, others: list[Found], step_keys: list[str]) -> Iterator[Found]:
    """The line for the whole decision, and lines for values that decided or nearly did."""
    values, results = case.ready.book.values, case.evaluation.results
    last = case.evaluation.row
    rows = case.ready.rows if last is None else case.ready.rows[: last + 1]
    unread = case.ready.unread
    used: dict[str, None] = {}
    alone: list[Test] = []
    near: list[Test] = []
    for row in rows:
        if any(results[slot] is False for slot in row.work):
            continue
        used.update(dict.fromkeys(row.keys))
        if not row.unsure:
            continue
        near += [
            test
            for test in row.unsure
            if test.condition.against in unread and _stands_near(case, test)
        ]
        if row.row_index != last:
            failed = [test for test in row.tests if results[test.slot] is False]
            if len(failed) == 1 and failed[0].condition.against in unread:
                alone += failed
    for found in others:
        for key in found.keys:
            if key in values:
                used[key] = None
    used.update(dict.fromkeys(step_keys))
    unsure = [key for key in used if key in unread]
    if unsure:
        yield UNCERTAIN_VALUES.found(
            "rulebook",
            {
                "n": len(unsure),
                "m": len(used),
                "list": unsure,
                "says": [values[key].says for key in unsure],
            },
            keys=tuple(unsure),
        )
    told: set[str] = set()
    for test, chose in [(t, True) for t in alone] + [(t, False) for t in near]:
        key = test.condition.against
        if key not in told:
            told.add(key)
            value = values[key]
            yield UNCERTAIN_VALUE.found(
                key,
                {
                    "key": key,
                    "says": value.says,
                    "written": value.written,
                    "certainty": value.certainty,
                    "chose": chose,
                },
                keys=(key,),
            )


def _stands_near(case: Case, test: Test) -> bool:
    value = case.facts[test.fact]
    limit = test.limit
    if not isinstance(value, tuple) or isinstance(limit, (bool, str, frozenset)):
        return False
    low, high = value
    return low == high and abs(low - limit) * _NEAR <= limit

"""Findings of the electrical checks: failures, undecided checks, and unused overrides.

An engineer decides on a check that fails or is within one step of its limit. Missing facts are told
once for the whole site, and never stop it.
"""

from collections.abc import Iterable, Iterator
from math import floor

from connections.facts.decision import Plain
from connections.rules.case import Case
from connections.rules.checks import strings
from connections.rules.checks.basis.failing import in_sentences
from connections.rules.checks.basis.types import PRINTED, Check, amount
from connections.rules.checks.basis.working import override_fault
from connections.rules.kinds import Found, Kind, Read, Values, Words

_FINER: dict[str, tuple[int, str]] = {
    "V": (1000, "mV"),
    "A": (1000, "mA"),
    "ohm": (1_000_000, "uohm"),
    "%": (10, "thousandths"),
}
"""The whole unit of a margin in a decision, and the number of it in one unit of the check."""


def _checks_not_possible_words(v: Values) -> Words:
    n = len(v["checks"])
    return (
        "An electrical check cannot be made: a fact is missing."
        if n == 1
        else f"{n} electrical checks cannot be made: facts are missing.",
        in_sentences(v["checks"]),
    )


CHECKS_NOT_POSSIBLE = Kind(
    "checks-not-possible",
    "inform",
    "Does an electrical check lack a fact?",
    _checks_not_possible_words,
)
STRINGS_NOT_POSSIBLE = Kind(
    "strings-not-possible",
    "inform",
    "Does a check of strings of panels lack a fact?",
    lambda v: (
        "The strings of panels cannot be checked: facts are missing.",
        in_sentences(v["checks"]),
    ),
)
ENGINEERS_OWN = strings.FINDINGS | {STRINGS_NOT_POSSIBLE.id}
"""Findings that no pack tells: how panels are wired is the engineer's matter."""


def findings_of(case: Case, checks: Iterable[Check]) -> Iterator[Found]:
    """The findings of all checks of a site."""
    missing: list[Check] = []
    for check in checks:
        if check.result == "missing":
            missing.append(check)
        elif check.failed or (check.caution and check.result in check.kind.told_on):
            yield _finding(check)
    for kind, printed in ((CHECKS_NOT_POSSIBLE, True), (STRINGS_NOT_POSSIBLE, False)):
        of_kind = [check for check in missing if (check.group in PRINTED) is printed]
        if of_kind:
            yield kind.found("site", {"checks": _grouped(of_kind)}, read=_reads(of_kind))
    yield from _overrides(case)


IMPOSSIBLE_OPERATING_POINT = Kind(
    "impossible-operating-point",
    "decide",
    "Is there no voltage at which the power can flow?",
    lambda v: (
        f"{v['title']} ({v['subject']}): {v['says']}.",
        "Check the length and size of the cables and the capacities; as they stand the plant could "
        "not run.",
    ),
)


def _finding(check: Check) -> Found:
    if check.result == "impossible":
        return IMPOSSIBLE_OPERATING_POINT.found(
            f"{check.id}/{check.subject}",
            _values(check),
            keys=check.keys,
            read=check.read,
        )
    kind = check.kind.finding
    if kind is None:
        raise LookupError(f"{check.id} is there to be read and has no finding")
    margin, unit = _margin(check) if check.failed else (None, "")
    return kind.found(
        check.subject,
        _values(check),
        keys=check.keys,
        read=check.read,
        margin=margin,
        margin_unit=unit,
    )


def _values(check: Check) -> dict[str, Plain]:
    return {
        "title": check.title,
        "subject": check.subject,
        "value": "" if check.value is None else amount(check.value, check.unit),
        "limit": "" if check.limit is None else amount(check.limit, check.unit),
        "bound": check.bound,
        "result": check.result,
        "says": check.says,
        "workings": list(check.workings),
    }


def _margin(check: Check) -> tuple[int | None, str]:
    """The margin in whole units, rounded down."""
    if check.margin is None:
        return None, ""
    if check.margin_mv is not None:
        return check.margin_mv, "mV"
    times, unit = _FINER.get(check.unit, (1, check.unit))
    return floor(check.margin * times), unit


def _grouped(missing: list[Check]) -> list[str]:
    """One line for each title and its needs, with the subjects."""
    lines: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for check in missing:
        lines.setdefault((check.title, check.needs), []).append(check.subject)
    return [
        f"{title} ({', '.join(dict.fromkeys(subjects))}): needs {', '.join(needs)}"
        for (title, needs), subjects in lines.items()
    ]


def _reads(checks: list[Check]) -> tuple[Read, ...]:
    reads: dict[str, object] = {}
    for check in checks:
        reads.update(check.read)
    return tuple(reads.items())


OVERRIDE_NOT_USED = Kind(
    "override-not-used",
    "inform",
    "Is an engineer's figure for something that is no default, or in another unit?",
    lambda v: (
        f"The engineer's figure for {v['key']} {v['fault']}; it is not used.",
        "Limits are changed by a local entry of the rulebook, with its source.",
    ),
)


def _overrides(case: Case) -> Iterator[Found]:
    for i, override in enumerate(case.site.overrides or ()):
        fault = override_fault(override, case.ready.book.values.get(override.key))
        if fault is not None:
            yield OVERRIDE_NOT_USED.found(
                f"overrides[{i}]",
                {"key": override.key, "fault": fault},
                read=((f"overrides[{i}].key", override.key),),
            )

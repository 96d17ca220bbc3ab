"""What the electrical checks found: what fails, what can't be told, and overrides not used.

A check that fails, or is within one step of its limit, is an engineer's decision; what is missing
is told once for the whole site, and never stands in the way.
"""

from collections.abc import Iterable, Iterator
from math import floor
from typing import TYPE_CHECKING

from connections.facts.decision import Plain
from connections.rules.case import Case, Found, Read

# The checks are loaded where there are some: every page that words a finding loads this module.
if TYPE_CHECKING:
    from connections.rules.checks.basis.types import Check

_FINER: dict[str, tuple[int, str]] = {
    "V": (1000, "mV"),
    "A": (1000, "mA"),
    "ohm": (1_000_000, "uohm"),
    "%": (10, "thousandths"),
}
"""In which whole unit a margin stands in a decision, and how many of it make one."""


def findings_of(case: Case, checks: Iterable["Check"]) -> Iterator[Found]:
    """The findings of all checks of a site."""
    missing: list[Check] = []
    for check in checks:
        if check.result == "missing":
            missing.append(check)
        elif check.failed:
            yield _failed(check)
        elif check.caution and check.result in _CAUTIONED.get(check.id, ("over", "lacks")):
            yield _caution(check)
    if missing:
        yield Found(
            "checks-not-possible",
            "site",
            "inform",
            {"checks": _grouped(missing)},
            keys=(),
            read=_reads(missing),
        )
    yield from _overrides(case)


def _failed(check: "Check") -> Found:
    if check.result == "impossible":
        return Found(
            "impossible-operating-point",
            f"{check.id}/{check.subject}",
            "decide",
            _values(check),
            keys=check.keys,
            read=check.read,
        )
    margin, unit = _margin(check)
    return Found(
        FINDING_OF[check.id],
        check.subject,
        "decide",
        _values(check),
        keys=check.keys,
        read=check.read,
        margin=margin,
        margin_unit=unit,
    )


def _caution(check: "Check") -> Found:
    return Found(
        CAUTION_OF[check.id],
        check.subject,
        "inform",
        _values(check),
        keys=check.keys,
        read=check.read,
    )


def _values(check: "Check") -> dict[str, Plain]:
    from connections.rules.checks.basis.types import amount

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


def _margin(check: "Check") -> tuple[int | None, str]:
    """What is left, in whole units and never flattering."""
    if check.margin is None:
        return None, ""
    if check.margin_mv is not None:
        return check.margin_mv, "mV"
    times, unit = _FINER.get(check.unit, (1, check.unit))
    return floor(check.margin * times), unit


def _grouped(missing: list["Check"]) -> list[str]:
    """One line for each title and what it needs, with the subjects."""
    lines: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for check in missing:
        lines.setdefault((check.title, check.needs), []).append(check.subject)
    return [
        f"{title} ({', '.join(dict.fromkeys(subjects))}): needs {', '.join(needs)}"
        for (title, needs), subjects in lines.items()
    ]


def _reads(checks: list["Check"]) -> tuple[Read, ...]:
    reads: dict[str, object] = {}
    for check in checks:
        reads.update(check.read)
    return tuple(reads.items())


def _overrides(case: Case) -> Iterator[Found]:
    from connections.rules.checks.basis.working import override_fault

    for i, override in enumerate(case.site.overrides or ()):
        fault = override_fault(override, case.ready.book.values.get(override.key))
        if fault is not None:
            yield Found(
                "override-not-used",
                f"overrides[{i}]",
                "inform",
                {"key": override.key, "fault": fault},
                read=((f"overrides[{i}].key", override.key),),
            )


FINDING_OF = {
    "voltage-rise": "check-voltage-rise",
    "voltage-trip": "check-voltage-trip",
    "voltage-band": "check-voltage-band",
    "device-current": "check-device-current",
    "charging-drop": "check-charging-drop",
    "board-sum": "check-board-sum",
    "cable-capacity": "check-cable-capacity",
    "cable-withstand": "check-cable-withstand",
    "demand": "check-demand",
    "import-limit": "check-import-limit",
    "neutral-current": "check-neutral-current",
    "voltage-unbalance": "check-voltage-unbalance",
    "fault-level": "check-fault-level",
    "breaking-capacity": "check-breaking-capacity",
    "earth-loop": "check-earth-loop",
    "electrode": "check-electrode",
    "rcd-touch": "check-rcd-touch",
    "service-registered": "check-service-registered",
    "service-board": "check-service-board",
    "service-limited": "check-service-limited",
    "emissions": "check-emissions",
    "supply-impedance": "check-supply-impedance",
    "voltage-step": "check-voltage-step",
    "settings": "check-settings",
    "schedule": "check-schedule",
    "schedule-rcd": "check-schedule-rcd",
    "limitation-scheme": "check-limitation-scheme",
    "dc-input": "check-dc-input",
}
"""The finding of each check that can fail."""

_CAUTIONED = {"voltage-open-pen": ("over", "close")}
"""Results that call for a caution where they are others than usual: a board that can come to the
very voltage is one that can pass it."""

CAUTION_OF = {
    "voltage-open-pen": "caution-open-pen",
    "device-choice": "caution-device-choice",
    "load-notice": "load-notice",
}
"""The finding of each check that cautions or tells of a step."""

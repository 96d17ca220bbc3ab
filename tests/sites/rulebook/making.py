"""Local entries for tests: of an invented operator, each as an entry of a local file."""

import datetime as dt
from typing import Any

from msgspec import structs

from connections.rulebook.local_text import Entry

LETTER = {
    "title": "Letter of the network operator (invented)",
    "kind": "letter",
    "has_clauses": False,
}
FROM = dt.date(2026, 1, 1)


def reading(**changes: Any) -> Entry:
    """The operator lets exactly 32 A in."""
    entry = Entry(
        kind="value",
        about="sgi-2.sum_reading",
        content={
            "says": "This operator lets exactly 32 A in.",
            "unit": "text",
            "applies_to": "small generation installations with an export limit",
            "checked": "2026-07-06",
            "value": "inclusive",
        },
        document="letter-7",
        source=LETTER,
        clause="",
        certainty="local",
        note="",
        since=FROM,
        until=None,
    )
    return structs.replace(entry, **changes)


def balance(value: str = "20 A", **changes: Any) -> Entry:
    """A lower limit of imbalance."""
    content = {
        "says": "Phases may be apart by at most this.",
        "unit": "mA",
        "applies_to": "three-phase supplies",
        "checked": "2026-07-06",
        "value": value,
    }
    return reading(**{"about": "balance.limit", "content": content, **changes})


def cap(limit: str = "5 kW", *, per: str = "total", unit: str = "W", **changes: Any) -> Entry:
    """A cap on a feeder and a postcode sector."""
    content = {
        "says": "The feeder takes no more.",
        "feeders": ["North 7"],
        "postcode_sectors": ["EX1 1"],
        "limit": limit,
        "unit": unit,
        "per": per,
        "checked": "2026-07-06",
    }
    content |= changes.pop("content", {})
    content = {name: value for name, value in content.items() if value is not None}
    return reading(**{"kind": "export-cap", "about": "north-7", "content": content, **changes})


def condition(**changes: Any) -> Entry:
    """A condition on sites above 16 A."""
    content = {
        "says": "Above 16 A a phase this operator wants a drawing.",
        "when": [{"fact": "largest_phase_sum", "above": "g98.sum_limit"}],
        "severity": "decide",
        "asks": "Send the drawing of the board.",
        "attachments": ["drawing of the board"],
        "checked": "2026-07-06",
    }
    content |= changes.pop("content", {})
    return reading(**{"kind": "condition", "about": "drawing", "content": content, **changes})

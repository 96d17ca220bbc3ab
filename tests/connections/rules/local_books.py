"""The shipped rulebook with local entries of an invented firm on top, for tests."""

import json
from typing import Any

from connections.rulebook.book import Rulebook
from connections.rulebook.load import load_books, read_local, resolve
from connections.rules.decide import Decided, decide
from tests.site_files import ON, site

HEAD = (
    '[book]\nformat = "rulebook/1"\nkind = "local"\nkey = "firm"\ntitle = "Of an invented firm"\n'
    "from = 2026-01-01\n"
)
LETTER = (
    '\n[[source]]\nid = "letter"\ntitle = "Letter (invented)"\nkind = "letter"\n'
    "has_clauses = false\n"
)


def toml(name: str, **keys: Any) -> str:
    """A table of a local file; values are written as JSON, which TOML reads alike."""
    told = "".join(f"{key} = {_written(value)}\n" for key, value in keys.items())
    return f'\n[[{name}]]\n{told}source = {{ document = "letter" }}\nchecked = 2026-11-24\n'


def _written(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {_written(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_written(item) for item in value) + "]"
    return json.dumps(value)


def cap(limit: str, unit: str = "W", per: str = "total", **keys: Any) -> str:
    """A cap on the feeder North 7, or on what `keys` name."""
    place = {} if keys.keys() & {"postcode_sectors", "everywhere"} else {"feeders": ["North 7"]}
    base = {"id": "north", "says": "The feeder takes no more.", **place}
    return toml("export_cap", **{**base, "limit": limit, "unit": unit, "per": per, **keys})


def condition(*when: dict[str, Any], **keys: Any) -> str:
    """An extra condition."""
    base = {
        "id": "drawing",
        "says": "The operator wants a drawing.",
        "when": list(when),
        "severity": "decide",
        "asks": "Send it.",
    }
    return toml("condition", **{**base, **keys})


def value(key: str, unit: str, amount: Any) -> str:
    """A value in place of the edition's."""
    return toml("value", key=key, says="As told.", unit=unit, applies_to="tests", value=amount)


def book_with(*tables: str, area: str = "gb-12") -> Rulebook:
    """The shipped rulebook with these tables of a local file on top."""
    local = read_local("".join((HEAD, LETTER, *tables)).encode(), "firm.toml")
    return resolve(load_books(), on=ON, area=area, nation="england", local=[local])


def decided_with(*tables: str, units: Any, **facts: Any) -> Decided:
    """What it decides on a site of these units."""
    return decide(site(*units, **facts), book_with(*tables))

"""Facts of a row that two columns hold: a day or a month, and strings by number or one by one.

The first column has the name of the fact. A row without the second keeps the fact in the first.
"""

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

import msgspec

from connections.facts.defaults import first_day, last_day, when_between


class Pair(NamedTuple):
    """The second column, how both make the fact, and the two of a fact."""

    second: str
    whole: Callable[[Any, Any], Any]
    parted: Callable[[Any], tuple[Any, Any]]


def entries(facts: Iterable[Any]) -> list[Any]:
    """Entries of a list of the site file as a JSON column holds them, without unknown facts."""
    return [
        {name: value for name, value in entry.items() if value is not None}
        if isinstance(entry, dict)
        else entry
        for entry in map(msgspec.to_builtins, facts)
    ]


def _parted_strings(fact: Any) -> tuple[int | None, list[Any] | None]:
    return (fact, None) if fact is None or isinstance(fact, int) else (None, entries(fact))


PAIRS: Mapping[str, Pair] = MappingProxyType(
    {
        "commissioned_on": Pair(
            "commissioned_to", when_between, lambda when: (first_day(when), last_day(when))
        ),
        "strings": Pair("strings_listed", lambda number, listed: listed or number, _parted_strings),
    }
)


def pair_of(row: object, name: str) -> Pair | None:
    """The pair of a fact, if a row or a kind of row holds it in two columns."""
    pair = PAIRS.get(name)
    return pair if pair is not None and hasattr(row, pair.second) else None


def fact_in(row: object, name: str) -> Any:
    """The fact of a row."""
    pair = pair_of(row, name)
    value = getattr(row, name)
    return value if pair is None else pair.whole(value, getattr(row, pair.second))


def put_fact(row: object, name: str, value: Any) -> None:
    """Give a row a fact; None for one that is not known."""
    if pair := pair_of(row, name):
        value, second = pair.parted(value)
        setattr(row, pair.second, second)
    setattr(row, name, value)

"""Write a resolved rulebook as bytes to keep, with its digest, and read it back."""

import datetime as dt
from collections.abc import Mapping
from functools import cache
from typing import TypeVar

import msgspec

from connections.facts.canonical import canonical, digest
from connections.rulebook.book import (
    Amount,
    Condition,
    ExtraCondition,
    Rulebook,
    StepRule,
    TableRow,
    Value,
)

_NOT_CONTENT = ("on_date", "digest", "beneath", "given_by", "reference", "awaited", "readings")
_WHERE_THERE = ("caps", "conditions")
"""Written only if there are any: older kept rulebooks do not have them."""


def content_of(book: Rulebook) -> bytes:
    """Canonical JSON of a rulebook, without its date, its digest and the overridden values.

    Two dates with the same content give the same bytes; their SHA-256 is `book.digest`.
    """
    return canonical(_content(book))


def with_digest(book: Rulebook) -> Rulebook:
    """Set the digest of a rulebook from its content."""
    return msgspec.structs.replace(book, digest=digest(_content(book)))


def rulebook_from(content: bytes, on_date: dt.date) -> Rulebook:
    """Read the bytes of `content_of` as a rulebook resolved for `on_date`.

    Raises ValueError if the bytes are not the content of a rulebook.
    """
    try:
        plain = msgspec.json.decode(content, type=dict[str, object])
        book = _made(
            Rulebook,
            {**plain, "on_date": None, "digest": None},
            on_date=on_date,
            digest="",
            values={key: _value(value) for key, value in _values(plain["values"]).items()},
            table=tuple(
                _made(TableRow, row, when=_conditions(row["when"]))
                for row in _items(plain["table"])
            ),
            steps=tuple(
                _made(StepRule, step, only_if=_conditions(step["only_if"]))
                for step in _items(plain["steps"])
            ),
            conditions=tuple(
                _made(ExtraCondition, extra, when=_conditions(extra["when"]))
                for extra in _items(plain.get("conditions", []))
            ),
        )
    except (KeyError, TypeError, AttributeError, msgspec.MsgspecError) as fault:
        raise ValueError(f"these bytes are not the content of a rulebook: {fault}") from None
    return with_digest(book)


def _content(book: Rulebook) -> Mapping[str, object]:
    content = {
        name: getattr(book, name) for name in book.__struct_fields__ if name not in _NOT_CONTENT
    }
    for name in _WHERE_THERE:
        if not content[name]:
            del content[name]
    return content


_Made = TypeVar("_Made", bound=msgspec.Struct)


def _made(kind: type[_Made], plain: object, **own: object) -> _Made:
    """A type of `book` from plain data, each field checked against what the type declares; `own`
    are fields that the caller has read, since their kind does not stand in them."""
    if not isinstance(plain, dict):
        raise TypeError(f"{kind.__name__} is not made of keys and values")
    types = _types(kind)
    return kind(
        **{
            name: own[name] if name in own else _as(value, types[name])
            for name, value in plain.items()
        }
    )


def _as(value: object, wanted: object) -> object:
    # Most fields are text, which needs no converting.
    if wanted is str and isinstance(value, str):
        return value
    return msgspec.convert(value, wanted)


@cache
def _types(kind: type[msgspec.Struct]) -> dict[str, object]:
    return {field.name: field.type for field in msgspec.structs.fields(kind)}


def _values(plain: object) -> dict[str, dict[str, object]]:
    return msgspec.convert(plain, dict[str, dict[str, object]])


def _items(plain: object) -> list[dict[str, object]]:
    return msgspec.convert(plain, list[dict[str, object]])


def _value(plain: dict[str, object]) -> Value:
    return _made(Value, plain, amount=_amount(plain["amount"], str(plain["unit"])))


def _amount(plain: object, unit: str) -> Amount:
    if unit == "date":
        return msgspec.convert(plain, dt.date)
    return msgspec.convert(plain, int | bool | str | tuple[str, ...])


def _literal(plain: object) -> Amount | None:
    return None if plain is None else _amount(plain, "")


def _conditions(plain: object) -> tuple[Condition, ...]:
    return tuple(
        _made(Condition, line, literal=_literal(line["literal"])) for line in _items(plain)
    )

"""A resolved rulebook as bytes to keep, its digest, and the way back."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

import msgspec

from connections.facts.canonical import canonical, digest
from connections.rulebook.book import (
    Amount,
    Area,
    Condition,
    ExportCap,
    ExtraCondition,
    Layer,
    Outcome,
    Row,
    Rulebook,
    SettingTable,
    Source,
    StepRule,
    Value,
)

_NOT_CONTENT = ("on_date", "digest", "beneath", "given_by", "reference")
_WHERE_THERE = ("caps", "conditions")
"""Content only where there are any: rulebooks were kept before there could be."""


def content_of(book: Rulebook) -> bytes:
    """Canonical JSON of all that holds, without the date that was asked about, the digest, and
    what overridden layers say.

    Two dates on which the same holds give the same bytes; their SHA-256 is `book.digest`.
    """
    return canonical(_content(book))


def with_digest(book: Rulebook) -> Rulebook:
    """The rulebook with the digest of its content."""
    return msgspec.structs.replace(book, digest=digest(_content(book)))


def rulebook_from(content: bytes, on_date: dt.date) -> Rulebook:
    """The rulebook that `content_of` wrote, as resolved for `on_date`.

    Raises ValueError if the bytes are not the content of a rulebook.
    """
    try:
        plain = msgspec.json.decode(content, type=dict[str, Any])
        book = Rulebook(
            **{
                **plain,
                "on_date": on_date,
                "layers": msgspec.convert(plain["layers"], tuple[Layer, ...]),
                "values": {key: _value(value) for key, value in plain["values"].items()},
                "table": tuple(_row(row) for row in plain["table"]),
                "outcomes": msgspec.convert(plain["outcomes"], tuple[Outcome, ...]),
                "steps": tuple(_step(step) for step in plain["steps"]),
                "settings": msgspec.convert(plain["settings"], tuple[SettingTable, ...]),
                "areas": msgspec.convert(plain["areas"], tuple[Area, ...]),
                "caps": tuple(_cap(cap) for cap in plain.get("caps", ())),
                "conditions": tuple(_extra(extra) for extra in plain.get("conditions", ())),
                "digest": "",
            }
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


def _value(plain: dict[str, Any]) -> Value:
    return Value(
        **{
            **plain,
            "amount": _amount(plain["amount"], plain["unit"]),
            "since": dt.date.fromisoformat(plain["since"]),
            "checked": dt.date.fromisoformat(plain["checked"]),
            "source": msgspec.convert(plain["source"], Source),
        }
    )


def _amount(plain: Any, unit: str) -> Amount:
    if unit == "date":
        return dt.date.fromisoformat(plain)
    amount: Amount = tuple(plain) if isinstance(plain, list) else plain
    return amount


def _conditions(plain: list[dict[str, Any]]) -> tuple[Condition, ...]:
    return tuple(Condition(**{**line, "literal": _amount(line["literal"], "")}) for line in plain)


def _row(plain: dict[str, Any]) -> Row:
    return Row(
        **{
            **plain,
            "when": _conditions(plain["when"]),
            "source": msgspec.convert(plain["source"], Source),
        }
    )


def _dated(plain: dict[str, Any]) -> dict[str, Any]:
    return {
        **plain,
        "since": dt.date.fromisoformat(plain["since"]),
        "checked": dt.date.fromisoformat(plain["checked"]),
        "source": msgspec.convert(plain["source"], Source),
    }


def _cap(plain: dict[str, Any]) -> ExportCap:
    return ExportCap(
        **{
            **_dated(plain),
            "feeders": tuple(plain["feeders"]),
            "postcode_sectors": tuple(plain["postcode_sectors"]),
        }
    )


def _extra(plain: dict[str, Any]) -> ExtraCondition:
    return ExtraCondition(
        **{
            **_dated(plain),
            "when": _conditions(plain["when"]),
            "attachments": tuple(plain["attachments"]),
        }
    )


def _step(plain: dict[str, Any]) -> StepRule:
    return StepRule(
        **{
            **plain,
            "outcomes": tuple(plain["outcomes"]),
            "attachments": tuple(plain["attachments"]),
            "only_if": _conditions(plain["only_if"]),
            "source": msgspec.convert(plain["source"], Source),
        }
    )

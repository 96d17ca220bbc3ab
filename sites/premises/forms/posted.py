"""Splits a posted sheet into boxes, versions seen, and visit."""

from collections.abc import Mapping
from contextlib import suppress
from typing import Any, NamedTuple
from uuid import UUID

from sites.premises.forms.sheet import Raw
from sites.premises.writing.sheet import Seen

TAKE = "take|"
"""Prefix of the names of choices between two versions of a box."""
MODEL = "catalogue-model"
"""Name of the box with the catalogue model for the next unit; no fact of the premises."""
DOUBLE = "double|"
"""Prefix of the names of answers about premises like this one; their keys follow."""
_APART = frozenset(
    {"csrfmiddlewaretoken", "seen-premises", "seen-design", "against", "visit", MODEL}
)


class Posted(NamedTuple):
    """A posted sheet, with the versions `seen` when it was opened.

    `against` holds the versions that it was last compared with, if somebody else had saved
    meanwhile.
    """

    raw: Raw
    seen: Seen
    against: Seen | None
    visit: str


def posted_sheet(post: Any) -> Posted:
    """Split a posted form.

    Keeps the texts as typed, except NUL characters, which no database stores.
    """
    raw = {
        _clean(name): [_clean(value) for value in values]
        for name, values in post.lists()
        if name not in _APART and not name.startswith(DOUBLE)
    }
    against = [_number(part) for part in (post.get("against") or "").split(".")]
    return Posted(
        raw,
        Seen(_number(post.get("seen-premises")), _number(post.get("seen-design"))),
        Seen(*against) if len(against) == 2 else None,
        _clean(post.get("visit") or "")[:40],
    )


def said_of_doubles(post: Any) -> dict[UUID, bool]:
    """Return what was answered about premises like this one: whether they are the same supply."""
    said: dict[UUID, bool] = {}
    for name, answer in post.items():
        if name.startswith(DOUBLE) and answer in ("same", "differs"):
            with suppress(ValueError):
                said[UUID(name.removeprefix(DOUBLE))] = answer == "same"
    return said


def boxes_of(raw: Mapping[str, list[str]]) -> Raw:
    """Return the boxes without the choices between two versions."""
    return {name: values for name, values in raw.items() if not name.startswith(TAKE)}


def _clean(text: str) -> str:
    return text.replace("\x00", "\ufffd")


def _number(text: str | None) -> int:
    text = text or ""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0

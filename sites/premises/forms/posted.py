"""What a page posts, taken apart: the boxes, the versions that it was opened with, its visit."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from sites.premises.forms.sheet import Raw
from sites.premises.writing.sheet import Seen

TAKE = "take|"
"""Begins the names of the choices between two versions of a box."""
MODEL = "catalogue-model"
"""The model of the catalogue whose values the next unit is to have; no fact of the premises."""
_APART = frozenset(
    {"csrfmiddlewaretoken", "seen-premises", "seen-design", "against", "visit", MODEL}
)


class Posted(NamedTuple):
    """A posted sheet. `seen` are the versions it was opened with; `against` those that it was last
    laid beside, where somebody else had saved meanwhile."""

    raw: Raw
    seen: Seen
    against: Seen | None
    visit: str


def posted_sheet(post: Any) -> Posted:
    """Take a posted form apart. Whatever the boxes hold stays as it is, but for NUL characters,
    which no database keeps."""
    raw = {
        _clean(name): [_clean(value) for value in values]
        for name, values in post.lists()
        if name not in _APART
    }
    against = [_number(part) for part in (post.get("against") or "").split(".")]
    return Posted(
        raw,
        Seen(_number(post.get("seen-premises")), _number(post.get("seen-design"))),
        Seen(*against) if len(against) == 2 else None,
        _clean(post.get("visit") or "")[:40],
    )


def boxes_of(raw: Mapping[str, list[str]]) -> Raw:
    """The boxes alone, without the choices between two versions."""
    return {name: values for name, values in raw.items() if not name.startswith(TAKE)}


def _clean(text: str) -> str:
    return text.replace("\x00", "\ufffd")


def _number(text: str | None) -> int:
    text = text or ""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0

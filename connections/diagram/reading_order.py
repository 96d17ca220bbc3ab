"""Put right-to-left words into visual order.

The PDF printer places the letters of a drawing one by one from left to right. It neither reverses
right-to-left words nor joins Arabic letters. This module does both, for page and PDF alike, and the
template tells browsers to keep the order. Source: the Unicode Bidirectional Algorithm (Unicode
Standard Annex 9), only the part that names need: a left-to-right line with right-to-left words in
it. Arabic forms come from the compatibility decompositions of the Unicode Character Database. The
text alternative keeps the typed order.
"""

import unicodedata
from functools import cache

_RIGHT_TO_LEFT = ("R", "AL")
_PRESENTATION_FORMS = (*range(0xFB50, 0xFBB2), *range(0xFBD3, 0xFC00), *range(0xFE80, 0xFEFD))


def turns(text: str) -> bool:
    """Whether the text holds right-to-left letters."""
    return any(unicodedata.bidirectional(c) in _RIGHT_TO_LEFT for c in text)


def as_seen(text: str) -> str:
    """Put the letters of one line into visual order, Arabic ones in their joined forms."""
    if not turns(text):
        return text
    seen: list[str] = []
    for right_to_left, run in _runs(_joined(text)):
        seen.append(_turned(run) if right_to_left else run)
    return "".join(seen)


def _runs(text: str) -> list[tuple[bool, str]]:
    """Split into runs of one direction; text between two right-to-left letters joins them."""
    classes = [unicodedata.bidirectional(c) for c in text]
    strong = [True if c in _RIGHT_TO_LEFT else False if c == "L" else None for c in classes]
    runs: list[tuple[bool, str]] = []
    for i, c in enumerate(text):
        direction = strong[i]
        if direction is None:
            before = next((s for s in reversed(strong[:i]) if s is not None), False)
            after = next((s for s in strong[i:] if s is not None), False)
            direction = before and after
            if classes[i] == "NSM":
                direction = before
        if runs and runs[-1][0] == direction:
            runs[-1] = (direction, runs[-1][1] + c)
        else:
            runs.append((direction, c))
    return runs


def _turned(run: str) -> str:
    """Reverse a right-to-left run; numbers and marks keep their own order."""
    parts: list[str] = []
    for c in run:
        direction = unicodedata.bidirectional(c)
        number = direction in ("EN", "AN")
        in_number = bool(parts) and unicodedata.bidirectional(parts[-1][-1]) in ("EN", "AN")
        if parts and (direction == "NSM" or (number and in_number)):
            parts[-1] += c
        else:
            parts.append(_MIRRORED.get(c, c))
    return "".join(reversed(parts))


_MIRRORED = dict(zip("()[]{}<>«»", ")(][}{><»«", strict=True))


@cache
def _forms() -> dict[str, dict[str, str]]:
    """Joined forms of each Arabic letter by name: initial, medial, final, isolated."""
    found: dict[str, dict[str, str]] = {}
    for code in _PRESENTATION_FORMS:
        kind, _, bases = unicodedata.decomposition(chr(code)).partition(" ")
        if kind.startswith("<"):
            letters = "".join(chr(int(base, 16)) for base in bases.split())
            found.setdefault(letters, {}).setdefault(kind.strip("<>"), chr(code))
    return found


def _joined(text: str) -> str:
    """Replace Arabic letters by the forms that fit their neighbours."""
    forms = _forms()
    letters: list[str] = []
    for c in text:
        # Lam and alef make one letter where the font knows it.
        if letters and letters[-1] + c in forms:
            letters[-1] += c
        else:
            letters.append(c)
    marks = [unicodedata.category(letter[-1]) == "Mn" for letter in letters]
    shaped: list[str] = []
    for i, letter in enumerate(letters):
        own = forms.get(letter)
        if own is None:
            shaped.append(letter)
            continue
        before = next((letters[j] for j in range(i - 1, -1, -1) if not marks[j]), "")
        after = next((letters[j] for j in range(i + 1, len(letters)) if not marks[j]), "")
        to_before = "final" in own and "initial" in forms.get(before, {})
        to_after = "initial" in own and "final" in forms.get(after, {})
        kind = {
            (True, True): "medial",
            (True, False): "final",
            (False, True): "initial",
            (False, False): "isolated",
        }[to_before, to_after]
        shaped.append(own.get(kind) or own.get("isolated") or letter)
    return "".join(shaped)

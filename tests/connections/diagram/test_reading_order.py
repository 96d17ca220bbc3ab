"""Right-to-left words as they are seen."""

import pytest

from connections.diagram.reading_order import as_seen, turns


@pytest.mark.parametrize(
    ("typed", "seen"),
    [
        ("roof 1", "roof 1"),
        # Hebrew letters from right to left; alef, bet, gimel are typed in that order.
        ("אבג", "גבא"),
        ("roof אב, 2", "roof בא, 2"),
        # Numbers keep their order inside right-to-left words, words change places.
        ("אב 12 גד", "דג 12 בא"),
        ("(אב)", "(בא)"),
        ("אב (גד) הו", "וה (דג) בא"),
        ("", ""),
    ],
)
def test_order(typed: str, seen: str) -> None:
    assert as_seen(typed) == seen


@pytest.mark.parametrize(
    ("typed", "seen"),
    [
        # beh between letters: initial FE91, medial FE92, final FE90, alone FE8F (Unicode Character
        # Database, block Arabic Presentation Forms-B).
        ("ب", "\ufe8f"),
        ("بب", "\ufe90\ufe91"),
        ("ببب", "\ufe90\ufe92\ufe91"),
        # Alef joins only to the letter before it: final FE8E, alone FE8D.
        ("باب", "\ufe8f\ufe8e\ufe91"),
        # Lam and alef make one letter, FEFB.
        ("لا", "\ufefb"),
    ],
)
def test_arabic_letters_join(typed: str, seen: str) -> None:
    assert as_seen(typed) == seen


@pytest.mark.parametrize(
    ("text", "expected"), [("abc", False), ("12", False), ("aא", True), ("ب", True)]
)
def test_turns(text: str, expected: bool) -> None:
    assert turns(text) is expected

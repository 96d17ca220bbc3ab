"""Widths, wrapping, and what may be printed."""

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from connections.diagram.lettering import ELLIPSIS, printable, width_of, wrap

DEJAVU = Path("/usr/share/fonts/truetype/dejavu")


@pytest.mark.parametrize(
    ("file", "bold"), [("DejaVuSans.ttf", False), ("DejaVuSans-Bold.ttf", True)]
)
def test_widths_are_those_of_the_font(file: str, bold: bool) -> None:
    """Against the font: DejaVu Sans 2.37, tables hmtx and cmap (package fonts-dejavu-core)."""
    font = TTFont(DEJAVU / file)
    names, advances, per_em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    listed = [chr(c) for c in (*range(32, 127), *range(160, 173), *range(174, 256))]
    for c in (*listed, *"–‘’“”…≤≥−"):
        advance = advances[names[ord(c)]][0] / per_em
        # At size 100 the width is in hundredths of the letter size, rounded up.
        assert advance * 100 <= width_of(c, 100, bold) < advance * 100 + 1, c


def test_other_letters_are_never_counted_too_narrow_by_much() -> None:
    font = TTFont(DEJAVU / "DejaVuSans.ttf")
    names, advances, per_em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    words = ("Ελληνικά", "Українська", "עברית", "Łódź", "العربية")
    for word in words:
        true = sum(advances[names[ord(c)]][0] for c in word) / per_em
        assert width_of(word, 100) >= 100 * true


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a\tb\nc", "a b c"),
        ("  a   b ", "a b"),
        ("cafe\u0301", "caf\u00e9"),
        ("a\u202eb\u2066c\u200b", "abc"),
        ("\U0001f469\u200d\U0001f527", "\U0001f469\u200d\U0001f527"),
        ("a\ufffeb\ufdd0", "a\ufffdb\ufffd"),
        ("\ud800", "\ufffd"),
        ("\u200b\u200f", ""),
    ],
)
def test_printable(text: str, expected: str) -> None:
    assert printable(text) == expected


# At size 10 a digit is 6.4 wide, a space 3.2 and … 10: a line of 64 holds ten digits, or seven with
# spaces between them (7 x 6.4 + 6 x 3.2 = 64), or five so and … (5 x 6.4 + 4 x 3.2 + 10 = 54.8).
@pytest.mark.parametrize(
    ("text", "most", "expected"),
    [
        ("", 3, ()),
        ("1234567890", 3, ("1234567890",)),
        ("12345678901", 3, ("1234567890", "1")),
        ("12345 67890 12", 3, ("12345", "67890 12")),
        ("123-456789012", 3, ("123-", "456789012")),
        ("1 " * 30, 2, ("1 1 1 1 1 1 1", "1 1 1 1 1…")),
        ("123456789 123456789", 1, ("12345678…",)),
    ],
)
def test_wrap(text: str, most: int, expected: tuple[str, ...]) -> None:
    assert wrap(text, 64, 10, most=most) == expected


def test_a_line_breaks_at_no_figure_and_its_unit() -> None:
    assert wrap("rated 3.68\u00a0kW", 64, 10) == ("rated", "3.68\u00a0kW")


@given(st.text(max_size=80), st.integers(40, 200), st.booleans())
def test_lines_never_outgrow_their_width(text: str, width: int, bold: bool) -> None:
    line = printable(text)
    lines = wrap(line, width, 10, bold)
    assert len(lines) <= 3
    assert all(width_of(part, 10, bold) <= width for part in lines)
    if not any(part.endswith(ELLIPSIS) for part in lines):
        assert "".join(lines).replace(" ", "") == line.replace(" ", "")

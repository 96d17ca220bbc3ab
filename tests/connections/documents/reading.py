"""Read a printed pack back: characters with their places and sizes, without margins and drawings.

Read with pypdfium2; the places of drawings with pikepdf, from the tags.
"""

import html
import io
import math
import re
from collections.abc import Iterator
from typing import Any, NamedTuple

import pikepdf
import pypdfium2
import pypdfium2.raw as raw

MM = 72 / 25.4
_MACHINE = re.compile(
    r"[\[\]_{}<>]|\b[a-z][a-z-]*\.[a-z][a-z_-]+|\b(?:None|NaN|True|False|null)\b|usable wh"
)
"""Brackets, underscores, keys such as "time.window", and words of the language."""
_FILES = re.compile(r"\b(?:pack|annex)\.json\b|[\w.@-]+\.example\b")
MARGIN = 14.5 * MM
"""What stands nearer to the upper or lower edge is the page's head or foot."""


def machine_words(text: str) -> list[str]:
    """What no reader should meet on a page; names of files and invented addresses are none."""
    return _MACHINE.findall(_FILES.sub("", text))


def text_of(page: str) -> str:
    """The words of a page of HTML, those of its drawings with them."""
    return html.unescape(re.sub(r"<[^>]*>", " ", page))


class Place(NamedTuple):
    """A box on a page, in points from the lower left corner."""

    page: int
    left: float
    bottom: float
    right: float
    top: float

    def gap(self, other: "Place") -> float:
        """Distance of two boxes [mm]; on different pages it is endless."""
        if self.page != other.page:
            return float("inf")
        across = max(self.left - other.right, other.left - self.right, 0)
        down = max(self.bottom - other.top, other.bottom - self.top, 0)
        return math.hypot(across, down) / MM


class Letter(NamedTuple):
    """A character, its place and its size [pt]."""

    text: str
    place: Place
    size: float


class Reader:
    """All letters of a PDF in reading order, those of margins and of drawings left out."""

    def __init__(self, pdf: bytes) -> None:
        self.letters: list[Letter] = []
        self.heights: list[float] = []
        self.lowest: list[float] = []
        """Of each page, how far down its letters and drawings reach, as a share of its height."""
        figures = _figures(pdf)
        document = pypdfium2.PdfDocument(pdf)
        for number, page in enumerate(document):
            height = page.get_height()
            text_page = page.get_textpage()
            ends = [box.bottom for box in figures if box.page == number]
            for i in range(text_page.count_chars()):
                letter = _letter(text_page, i, number)
                if not MARGIN < letter.place.bottom < height - MARGIN:
                    continue
                ends.append(letter.place.bottom)
                if not any(letter.place.gap(figure) == 0 for figure in figures):
                    self.letters.append(letter)
            self.heights.append(height)
            self.lowest.append(1 - min(ends, default=height) / height)
            text_page.close()
        document.close()
        self.text = "".join(letter.text for letter in self.letters)

    def places(self, words: str) -> list[Place]:
        """Where these words stand; any run of blanks counts as one."""
        pattern = r"\s+".join(re.escape(word) for word in words.split())
        return [
            _around([letter.place for letter in self.letters[found.start() : found.end()]])
            for found in re.finditer(rf"(?<!\w){pattern}(?!\w)", self.text)
        ]

    def pairs(self, label: str, value: str, nearest_mm: float) -> int:
        """How often the value stands beside or under its label, that near."""
        return sum(
            _beside(one, two) and one.gap(two) <= nearest_mm
            for one in self.places(label)
            for two in self.places(value)
        )


def _beside(label: Place, value: Place) -> bool:
    """Whether a value stands on the label's line, right of it, or under it in its column."""
    same_line = value.left >= label.right - 1 and label.top > value.bottom
    same_line = same_line and value.top > label.bottom
    below = label.bottom - value.top
    under = -1 <= below < 6 * MM and value.left < label.right and label.left < value.right
    return value.page == label.page and (same_line or under)


def _letter(text_page: Any, i: int, page: int) -> Letter:
    left, bottom, right, top = text_page.get_charbox(i)
    matrix = raw.FS_MATRIX()
    raw.FPDFText_GetMatrix(text_page.raw, i, matrix)
    size = raw.FPDFText_GetFontSize(text_page.raw, i) * matrix.a
    text = chr(raw.FPDFText_GetUnicode(text_page.raw, i)).replace("\ufffe", "-")
    return Letter(text, Place(page, left, bottom, right, top), size)


def _around(places: list[Place]) -> Place:
    seen = [place for place in places if place.right > place.left] or places
    return Place(
        seen[0].page,
        min(place.left for place in seen),
        min(place.bottom for place in seen),
        max(place.right for place in seen),
        max(place.top for place in seen),
    )


def _figures(pdf: bytes) -> list[Place]:
    """The places of drawings, which tags give in pixels from the upper left corner."""
    document = pikepdf.open(io.BytesIO(pdf))
    numbers = {page.objgen: n for n, page in enumerate(document.pages)}
    found = []
    for element in elements(document.Root.StructTreeRoot.K):
        if element.S == "/Figure":
            left, top, right, bottom = (float(edge) * 0.75 for edge in element.A.BBox)
            page = numbers[element.Pg.objgen]
            height = float(document.pages[page].MediaBox[3])
            found.append(Place(page, left, height - bottom, right, height - top))
    return found


def elements(node: Any) -> Iterator[Any]:
    """Every structure element below a node."""
    if isinstance(node, pikepdf.Array):
        for child in node:
            yield from elements(child)
    elif isinstance(node, pikepdf.Dictionary):
        if "/S" in node:
            yield node
        if "/K" in node:
            yield from elements(node.K)

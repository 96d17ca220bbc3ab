"""Everything that the frozen content says stands on the pages, and the index finds it."""

import io
import re
from collections.abc import Callable, Iterator
from typing import Any

import pikepdf
import pypdfium2
import pytest

from connections.pack.content import (
    Cell,
    Facts,
    Pack,
    Plotted,
    Points,
    Prose,
    Signing,
    Table,
    Workings,
)
from connections.pack.figures import long_date
from tests.connections.documents.conftest import Printed, squeezed

Get = Callable[[str], Printed]
NAMES = ("plain", "application", "large")


def body(printed: Printed) -> str:
    """The text of all pages without what stands in the margins of each."""
    pack, pages = printed.pack, []
    margins = [
        f"Pack {pack.reference}, revision {pack.revision}, {long_date(pack.prepared_on)}",
        f"SHA-256 {pack.digests.pack}",
    ]
    for number, page in enumerate(printed.pages, start=1):
        text = squeezed(page)
        for margin in (*margins, f"page {number} of {len(printed.pages)}"):
            assert squeezed(margin) in text
            text = text.replace(squeezed(margin), "")
        pages.append(text)
    whole = "".join(pages).replace(squeezed(pack.title), "")
    return whole.replace(squeezed(pack.technical.wording.not_issued), "")


def said(pack: Pack) -> Iterator[str]:
    """Every text of the frozen content that is to be printed."""
    assert pack.personal is not None

    def text(cell: Cell) -> str:
        assert pack.personal is not None
        return (cell.text or pack.personal.values.get(cell.personal)) or (
            "" if cell.blank else "not known"
        )

    for section in pack.technical.sections:
        yield f"{section.number} {section.title}"
        for block in section.blocks:
            yield block.title
            if isinstance(block, Facts):
                for item in block.items:
                    yield item.label + text(item.value) + item.unit
            elif isinstance(block, Table):
                yield block.says
                yield from (column.label for column in block.columns)
                yield from (text(cell) for row in block.rows for cell in row.cells)
                yield from block.notes
            elif isinstance(block, Prose):
                yield from block.paragraphs
            elif isinstance(block, Points):
                for point in block.points:
                    yield from (point.title, point.text, point.note)
            elif isinstance(block, Plotted):
                yield from (level.name for level in block.levels)
            elif isinstance(block, Workings):
                for each in block.workings:
                    yield from (each.title, each.of, each.formula, each.result)
                    yield from (*each.inputs, *each.lines)
            elif isinstance(block, Signing):
                yield from (block.text, text(block.name), text(block.on))
    yield from (entry.label for entry in pack.technical.register)
    yield from pack.changes
    yield f"Its data serves: {pack.procedure.serves}."


@pytest.mark.parametrize("name", NAMES)
def test_everything_said_is_printed(printed: Get, name: str) -> None:
    found = printed(name)
    there = body(found)
    texts = list(said(found.pack))
    assert len(texts) > 200
    assert [text for text in texts if squeezed(text) not in there] == []


@pytest.mark.parametrize(("name", "fewest", "most"), [("plain", 8, 16), ("large", 12, 26)])
def test_length(printed: Get, name: str, fewest: int, most: int) -> None:
    assert fewest <= len(printed(name).pages) <= most


@pytest.mark.parametrize("name", NAMES)
def test_not_issued_stands_on_every_page_or_on_none(printed: Get, name: str) -> None:
    found = printed(name)
    marked = ["Not issued" in page for page in found.pages]
    assert marked == [not found.pack.issued] * len(found.pages)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_called_safe_or_compliant(printed: Get, name: str) -> None:
    for page in printed(name).pages:
        assert re.findall(r"\b(?:un)?safe(?:ly)?\b|\bcompliant\b", page, re.I) == []


@pytest.mark.parametrize("name", NAMES)
def test_no_heading_is_left_at_the_bottom(printed: Get, name: str) -> None:
    found = printed(name)
    headings = {f"{s.number} {s.title}" for s in found.pack.technical.sections}
    headings |= {b.title for s in found.pack.technical.sections for b in s.blocks if b.title}
    foot = f"Pack {found.pack.reference}, revision"
    for page in found.pages:
        lines = [line.strip() for line in page.splitlines() if line.strip()]
        end = next(i for i, line in enumerate(lines) if line.startswith(foot) and i > 3)
        assert lines[end - 1] not in headings


def _boxes(pdf: bytes) -> Iterator[tuple[str, int, int]]:
    """Links of the PDF: the text inside each, its page (from 1) and the page it leads to."""
    structure = pikepdf.open(io.BytesIO(pdf))
    shown = pypdfium2.PdfDocument(pdf)
    names = structure.Root.Names.Dests.Names
    where = {str(names[i]): names[i + 1] for i in range(0, len(names), 2)}
    numbers: dict[Any, int] = {page.objgen: n for n, page in enumerate(structure.pages, start=1)}
    for number, page in enumerate(structure.pages, start=1):
        text_page = shown[number - 1].get_textpage()
        for note in page.get("/Annots", []):
            if note.Subtype != "/Link":
                continue
            goal = where[str(note.Dest if "/Dest" in note else note.A.D)]
            left, bottom, right, top = (float(edge) for edge in note.Rect)
            text = text_page.get_text_bounded(left - 1, bottom - 1, right + 1, top + 1)
            yield text, number, numbers[goal[0].objgen]
        text_page.close()
    shown.close()


@pytest.mark.parametrize("name", NAMES)
def test_the_index_gives_the_pages_where_things_stand(printed: Get, name: str) -> None:
    found = printed(name)
    # A link of the contents is three boxes, its words, its dots and its number.
    numbers = [(text.strip(" ."), goal) for text, _, goal in _boxes(found.pdf)]
    numbers = [(text, goal) for text, goal in numbers if text.isdigit()]
    assert len(numbers) >= len(found.pack.technical.register)
    assert [(text, goal) for text, goal in numbers if text != str(goal)] == []


@pytest.mark.parametrize("name", NAMES)
def test_sections_stand_on_the_pages_that_page_one_names(printed: Get, name: str) -> None:
    found = printed(name)
    first = found.pages[0]
    for section in found.pack.technical.sections[1:]:
        head = f"{section.number} {section.title}"
        (page,) = re.findall(rf"{re.escape(head)}[ .]*(\d+)", first)
        lines = [line.strip() for line in found.pages[int(page) - 1].splitlines()]
        assert head in lines


def test_a_correction_says_what_it_replaces(printed: Get) -> None:
    first = printed("application").pages[0]
    assert "Replaces revision 1. What changed:" in first
    assert "The cut-out is 80 A." in first

"""Everything that the frozen content says stands on the pages."""

import re
from collections.abc import Callable, Iterator

import pytest

from connections.pack.content import (
    Annex,
    Cell,
    Content,
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
WITHOUT_HEADING = ("asked", "cautions")
"""Page one begins with the title, and the caution is one line."""


def body(printed: Printed) -> str:
    """The text of all pages without what stands in the margins of each."""
    pack, pages = printed.pack, []
    margins = [
        f"{pack.reference} · revision {pack.revision} · {long_date(pack.prepared_on)}",
        f"sha-256 {pack.digests.pack}",
    ]
    for number, page in enumerate(printed.pages, start=1):
        text = squeezed(page)
        for margin in (*margins, f"page {number} of {len(printed.pages)}"):
            assert squeezed(margin) in text
            text = text.replace(squeezed(margin), "")
        pages.append(text)
    whole = "".join(pages).replace(squeezed(pack.title), "")
    return whole.replace(squeezed(pack.technical.wording.not_issued), "")


def said(pack: Content) -> Iterator[str]:
    """Every text of the frozen content that is to be printed."""
    assert pack.personal is not None

    def text(cell: Cell) -> str:
        assert pack.personal is not None
        return (cell.text or pack.personal.values.get(cell.personal)) or (
            "" if cell.blank else "not known"
        )

    for section in pack.technical.sections:
        if isinstance(pack, Annex):
            yield f"{section.number} {section.title}"
        elif section.key not in WITHOUT_HEADING:
            yield section.title
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
    if isinstance(pack, Pack):
        for change in pack.changes:
            yield from (change.fact, change.was, change.now)
        yield f"Data for {pack.procedure.serves}"


@pytest.mark.parametrize("name", NAMES)
def test_everything_said_is_printed(printed: Get, name: str) -> None:
    found = printed(name)
    there = body(found)
    texts = list(said(found.pack))
    assert len(texts) > 100
    assert [text for text in texts if squeezed(text) not in there] == []


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
    headings = {s.title for s in found.pack.technical.sections}
    headings |= {b.title for s in found.pack.technical.sections for b in s.blocks if b.title}
    foot = "sha-256 "
    for page in found.pages:
        lines = [line.strip() for line in page.splitlines() if line.strip()]
        end = next(i for i, line in enumerate(lines) if line.startswith(foot) and i > 3)
        assert lines[end - 1] not in headings, page


def test_a_correction_says_what_it_replaces(printed: Get) -> None:
    first = printed("application").pages[0]
    assert "2, replaces revision 1" in first
    assert "What changed since revision 1" in first
    assert "Cut-out 60 A 80 A" in first

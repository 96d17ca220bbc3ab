"""Reading Markdown as far as the two documents use it."""

import re
from typing import NamedTuple


class Link(NamedTuple):
    """A link or a picture: what it says, where it leads, and whether it is a picture."""

    text: str
    target: str
    picture: bool


class Code(NamedTuple):
    """A fenced block: its language and its lines."""

    language: str
    text: str


_FENCED = re.compile(r"^```(\w*)\n(.*?)^```$", re.M | re.S)


def prose(page: str) -> str:
    """The page without its fenced blocks."""
    return _FENCED.sub("", page)


def code_blocks(page: str, language: str) -> list[str]:
    """The contents of the fenced blocks of one language."""
    return [Code(*found).text for found in _FENCED.findall(page) if found[0] == language]


def paragraphs(page: str) -> list[str]:
    """Blocks of text between empty lines, each on one line."""
    return [" ".join(block.split()) for block in prose(page).split("\n\n") if block.strip()]


def links(page: str) -> list[Link]:
    """Links and pictures in the prose."""
    found = re.findall(r"(!?)\[([^\]]*)\]\(([^)\s]*)\)", prose(page))
    return [Link(text, target, mark == "!") for mark, text, target in found]


def anchors(page: str) -> set[str]:
    """The names by which headings can be linked to."""
    heads = re.findall(r"^#+ (.+)$", prose(page), re.M)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


def section(page: str, head: str) -> str:
    """What stands under a heading, up to the next one of its level or higher."""
    # A comment in a fenced block begins like a heading.
    heads = _FENCED.sub(lambda block: re.sub(r"[^\n]", " ", block[0]), page)
    found = re.search(rf"^(#+) {re.escape(head)}\n", heads, re.M)
    assert found, f"there is no heading {head!r}"
    end = re.compile(rf"^#{{1,{len(found[1])}}} ", re.M).search(heads, found.end())
    return page[found.end() : end.start() if end else len(page)]


def tables(page: str) -> list[list[list[str]]]:
    """Tables as rows of cells, heads first and the line under them left out."""
    found: list[list[list[str]]] = []
    inside = False
    for line in prose(page).splitlines():
        if not line.startswith("|"):
            inside = False
            continue
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if not inside:
            found.append([])
        inside = True
        if not all(re.fullmatch(r":?-+:?", cell) for cell in cells):
            found[-1].append(cells)
    return found


def names(cell: str) -> list[str]:
    """What a cell sets as code."""
    return re.findall(r"`([^`]+)`", cell)

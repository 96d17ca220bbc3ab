"""The help pages: Markdown of the tree, as HTML."""

import re
from functools import cache
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from django.templatetags.static import static
from django.urls import reverse
from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Sequence

    from markdown_it import MarkdownIt
    from markdown_it.renderer import RendererHTML
    from markdown_it.token import Token
    from markdown_it.utils import OptionsDict

HELP = Path(__file__).resolve().parents[1] / "help"
NAMES = (
    "browser",
    "site-file",
    "coverage",
    "sources",
    "local-entries",
    "running",
    "commands",
    "library",
    "threats",
    "changes",
    "faults",
)
"""The pages, in the order of telling."""
_PICTURES = "../../../static/"


class HelpPage(Struct, frozen=True):
    """A page: its name in the address, its title, and the HTML beneath the title."""

    name: str
    title: str
    html: str


@cache
def titles() -> tuple[tuple[str, str], ...]:
    """Name and title of each page."""
    return tuple((name, _source(name).partition("\n")[0].removeprefix("# ")) for name in NAMES)


def help_page(name: str) -> HelpPage | None:
    """The page of this name; None where there is none."""
    if name not in NAMES:
        return None
    title, _, rest = _source(name).partition("\n")
    return HelpPage(name, title.removeprefix("# "), _html(rest))


@cache
def _source(name: str) -> str:
    return (HELP / f"{name}.md").read_text(encoding="utf-8")


@cache
def _html(text: str) -> str:
    reader = _reader()
    tokens = reader.parse(text)
    for at, token in enumerate(tokens):
        if token.type == "heading_open":
            token.attrSet("id", anchor(tokens[at + 1].content))
        for inner in token.children or ():
            if inner.type == "link_open":
                inner.attrSet("href", _address(str(inner.attrGet("href"))))
            elif inner.type == "image":
                source = str(inner.attrGet("src"))
                inner.attrSet("src", static(source.removeprefix(_PICTURES)))
    return str(reader.renderer.render(tokens, reader.options, {}))


@cache
def _reader() -> "MarkdownIt":
    """Markdown with tables, in which HTML is text. What is wide scrolls in a frame of its own."""
    from markdown_it import MarkdownIt

    def opened(
        self: "RendererHTML",
        tokens: "Sequence[Token]",
        at: int,
        options: "OptionsDict",
        env: object,
    ) -> str:
        number = sum(token.type == "table_open" for token in tokens[: at + 1])
        return f'<div class="wide" tabindex="0" role="region" aria-label="Table {number}"><table>'

    def closed(*_arguments: object) -> str:
        return "</table></div>"

    def code(
        self: "RendererHTML",
        tokens: "Sequence[Token]",
        at: int,
        options: "OptionsDict",
        env: object,
    ) -> str:
        kind = 'tabindex="0"' if tokens[at].info == "console" else 'class="typed"'
        return f"<pre {kind}>{escape(tokens[at].content)}</pre>"

    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    reader.add_render_rule("table_open", opened)
    reader.add_render_rule("table_close", closed)
    reader.add_render_rule("fence", code)
    return reader


def anchor(head: str) -> str:
    """The name by which a heading can be linked to."""
    return re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-")


def _address(target: str) -> str:
    """Another help page by its address; README and DEVELOPERS stand in the tree alone."""
    name, _, place = target.partition("#")
    if name.endswith(".md") and name.removesuffix(".md") in NAMES:
        name = reverse("help-page", args=[name.removesuffix(".md")])
    return f"{name}#{place}" if place else name

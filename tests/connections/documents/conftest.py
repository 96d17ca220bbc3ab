"""Packs printed once for all tests of documents, with their text by page."""

import unicodedata
from collections.abc import Callable
from typing import Any, NamedTuple

import pypdfium2
import pytest

from connections.documents.render import render, render_annex
from connections.pack.content import Annex, Change, Pack
from tests.connections.pack.cases import DECLARED, FILES, annex_of, pack_of


class Printed(NamedTuple):
    """A pack, its PDF, and the text of each page."""

    pack: Pack
    pdf: bytes
    pages: tuple[str, ...]


class PrintedAnnex(NamedTuple):
    """An annex, its PDF, and the text of each page."""

    annex: Annex
    pdf: bytes
    pages: tuple[str, ...]


_GIVEN: dict[str, dict[str, Any]] = {
    "plain": {"declaration": DECLARED, "issued": True},
    "application": {"revision": 2, "replaces": 1, "changes": (Change("Cut-out", "60 A", "80 A"),)},
}
_printed: dict[str, Printed] = {}


def page_texts(pdf: bytes) -> tuple[str, ...]:
    """The text of each page; a hyphen at a line's end is a hyphen again."""
    document = pypdfium2.PdfDocument(pdf)
    texts = []
    for page in document:
        text_page = page.get_textpage()
        texts.append(text_page.get_text_range().replace("\ufffe", "-"))
        text_page.close()
        page.close()
    document.close()
    return tuple(texts)


def squeezed(text: str) -> str:
    """Text without blanks and line ends, ligatures taken apart: what wrapping can't change."""
    return "".join(unicodedata.normalize("NFKC", text).split())


@pytest.fixture(scope="session")
def printed() -> Callable[[str], Printed]:
    """The pack of one of the invented files, printed."""

    def get(name: str) -> Printed:
        if name not in _printed:
            pack = pack_of(FILES[name](), **_GIVEN.get(name, {}))
            pdf = render(pack)
            _printed[name] = Printed(pack, pdf, page_texts(pdf))
        return _printed[name]

    return get


@pytest.fixture(scope="session")
def printed_annex() -> PrintedAnnex:
    """The annex of the application, printed."""
    annex = annex_of(FILES["application"](), **_GIVEN["application"])
    pdf = render_annex(annex)
    return PrintedAnnex(annex, pdf, page_texts(pdf))

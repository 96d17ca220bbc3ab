"""The annex as a document of its own: what it says, its tags, its data and its bytes."""

import io
from collections import Counter

import pikepdf

from connections.documents.render import render_annex
from connections.pack.content import Plotted, read_annex, write_pack
from tests.connections.documents.conftest import PrintedAnnex, squeezed
from tests.connections.documents.test_structure import elements
from tests.connections.documents.test_text import said


def test_everything_said_is_printed(printed_annex: PrintedAnnex) -> None:
    there = squeezed(" ".join(printed_annex.pages))
    texts = list(said(printed_annex.annex))
    assert len(texts) > 200
    # A text may run over a page; then the foot of the page stands in its middle.
    missing = [text for text in texts if squeezed(text) not in there]
    assert all(len(text) > 60 for text in missing)
    assert len(missing) < 8


def test_it_says_whose_it_is_and_that_it_need_not_be_sent(printed_annex: PrintedAnnex) -> None:
    first = printed_annex.pages[0]
    assert "Annex to EX-001, revision 2" in first
    assert "For the firm’s file: send it only if you choose." in first
    assert printed_annex.annex.pack in squeezed(first)


def test_title_tags_scopes_and_alternatives(printed_annex: PrintedAnnex) -> None:
    pdf = pikepdf.open(io.BytesIO(printed_annex.pdf))
    assert str(pdf.docinfo.Title) == "Annex to EX-001, revision 2 (not issued)"
    with pdf.open_metadata() as metadata:
        assert metadata.pdfa_status == "3A"
    found = list(elements(pdf.Root.StructTreeRoot.K))
    scopes = Counter(str(e.A.get("/Scope")) for e in found if e.S == "/TH")
    assert set(scopes) == {"/Column", "/Row"}
    words = " ".join(str(e.Alt) for e in found if e.S == "/Figure")
    plots = [
        block
        for section in printed_annex.annex.technical.sections
        for block in section.blocks
        if isinstance(block, Plotted)
    ]
    assert plots
    assert [plot.told for plot in plots if plot.told not in words] == []


def test_it_carries_its_own_content_and_prints_the_same_twice(printed_annex: PrintedAnnex) -> None:
    pdf = pikepdf.open(io.BytesIO(printed_annex.pdf))
    assert list(pdf.attachments) == ["annex.json"]
    content = pdf.attachments["annex.json"].get_file().read_bytes()
    assert content == write_pack(printed_annex.annex)
    assert read_annex(content) == printed_annex.annex
    assert render_annex(printed_annex.annex) == printed_annex.pdf

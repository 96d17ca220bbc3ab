"""The SVG that the template prints: well-formed, self-contained, and safe in a strict page."""

import logging
import re
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pypdfium2
import pytest
import weasyprint
from django.template import Context, Engine

from connections.diagram.drawing import Drawing
from connections.diagram.single_line import draw
from connections.diagram.symbols import SYMBOLS
from connections.facts.site import Site

SVG = "{http://www.w3.org/2000/svg}"
TEMPLATES = Path(__file__).parents[3] / "connections/documents/templates"
Cases = dict[str, Callable[[], Site]]


def printed(drawing: Drawing, prefix: str = "sld-1", for_print: bool = False) -> str:
    template = Engine(dirs=[str(TEMPLATES)]).get_template("diagram/single_line.svg")
    return template.render(Context({"drawing": drawing, "prefix": prefix, "for_print": for_print}))


def parsed(drawing: Drawing, prefix: str = "sld-1") -> ElementTree.Element:
    return ElementTree.fromstring(printed(drawing, prefix))


def test_ids_are_unique_and_prefixed(site: Site) -> None:
    for drawing in draw(site):
        root = parsed(drawing)
        ids = [e.attrib["id"] for e in root.iter() if "id" in e.attrib]
        assert len(ids) == len(set(ids))
        assert all(i.startswith("sld-1-") for i in ids)
        used = {e.attrib["href"] for e in root.iter(f"{SVG}use")}
        assert used <= {f"#{i}" for i in ids}
        assert root.attrib["aria-labelledby"].split() == ["sld-1-title", "sld-1-desc"]
        assert root.attrib["role"] == "img"


def test_everything_placed_is_printed(site: Site) -> None:
    for drawing in draw(site):
        root = parsed(drawing)
        assert len(list(root.iter(f"{SVG}use"))) == len(drawing.symbols)
        assert len(list(root.iter(f"{SVG}polyline"))) == len(drawing.lines)
        outside = [e.text for g in root.findall(f"{SVG}g") for e in g.iter(f"{SVG}text")]
        assert outside == [row.text for label in drawing.labels for row in label.rows]
        assert root.attrib["viewBox"] == f"0 0 {drawing.width} {drawing.height}"
        assert root.findtext(f"{SVG}title") == drawing.title
        assert root.findtext(f"{SVG}desc") == drawing.description


def test_only_what_a_strict_page_allows(site: Site) -> None:
    """Content-Security-Policy without inline styles or scripts: presentation attributes only."""
    allowed = {"svg", "title", "desc", "defs", "symbol", "g", "path", "text", "polyline", "use"}
    for drawing in draw(site):
        for element in parsed(drawing).iter():
            assert element.tag.removeprefix(SVG) in allowed
            for name in element.attrib:
                assert name not in ("style", "class")
                assert not name.startswith("on")


def test_no_colour_but_ink_and_grey(site: Site) -> None:
    for drawing in draw(site):
        colours = set(re.findall(r'(?:fill|stroke)="([^"]*)"', printed(drawing)))
        assert colours == {"none", "#1a1a1a", "#555555"}


def test_hostile_names_are_only_text(cases: Cases) -> None:
    drawings = draw(cases["hostile and long names"]())
    for drawing in drawings:
        svg = printed(drawing)
        assert "<script" not in svg
        assert "<img" not in svg
        assert "<b " not in svg
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; &#x27;x&#x27;" in printed(drawings[0])


def test_symbols_have_the_sizes_that_the_layout_takes(cases: Cases) -> None:
    (drawing, *_) = draw(cases["one PV unit"]())
    template = Engine(dirs=[str(TEMPLATES)]).get_template("diagram/symbols.svg")
    everything = {"drawn_names": frozenset(SYMBOLS)}
    found = template.render(Context({"drawing": everything, "prefix": "a"}))
    root = ElementTree.fromstring(found)
    boxes = {e.attrib["id"]: e.attrib["viewBox"] for e in root.iter("symbol")}
    assert boxes == {
        f"a-{name}": f"0 0 {symbol.width} {symbol.height}" for name, symbol in SYMBOLS.items()
    }
    used = {e.attrib["id"] for e in parsed(drawing).iter(f"{SVG}symbol")}
    assert used == {f"sld-1-{name}" for name in drawing.drawn_names}


def test_sheets_on_one_page_share_no_id(cases: Cases) -> None:
    """Each sheet has a prefix of its own where the page gives none."""
    template = Engine(dirs=[str(TEMPLATES)]).get_template("diagram/single_line.svg")
    sheets = draw(cases["twenty lines, two boards"]())
    assert len(sheets) > 1
    page = "".join(template.render(Context({"drawing": drawing})) for drawing in sheets)
    ids = re.findall(r'\bid="([^"]*)"', page)
    assert len(ids) == len(set(ids))
    assert {f"#{i}" for i in ids} >= set(re.findall(r'href="([^"]*)"', page))


def test_letters_inside_symbols_are_large_enough(cases: Cases) -> None:
    """7.09 points when four drawing units are a millimetre, as for the labels."""
    root = parsed(draw(cases["one PV unit"]())[0])
    sizes = [int(e.attrib["font-size"]) for e in root.iter(f"{SVG}text")]
    assert min(sizes) == 10


def test_right_to_left_words_are_left_in_their_order(cases: Cases) -> None:
    root = parsed(draw(cases["hostile and long names"]())[0])
    turned = [e for e in root.iter(f"{SVG}text") if "unicode-bidi" in e.attrib]
    assert turned
    assert all(e.attrib["unicode-bidi"] == "bidi-override" for e in turned)
    assert all(e.attrib["direction"] == "ltr" for e in turned)


def test_for_print_the_title_says_everything(cases: Cases) -> None:
    drawing = draw(cases["one PV unit"]())[0]
    root = ElementTree.fromstring(printed(drawing, for_print=True))
    assert root.findtext(f"{SVG}title") == drawing.description


def test_the_typeface_can_be_chosen(cases: Cases) -> None:
    drawing = draw(cases["one PV unit"]())[0]
    assert parsed(drawing).attrib["font-family"] == "DejaVu Sans, Verdana, sans-serif"
    template = Engine(dirs=[str(TEMPLATES)]).get_template("diagram/single_line.svg")
    svg = template.render(Context({"drawing": drawing, "prefix": "a", "typeface": "Pack Sans"}))
    assert ElementTree.fromstring(svg).attrib["font-family"] == "Pack Sans"


def test_weasyprint_prints_every_word(site: Site, caplog: pytest.LogCaptureFixture) -> None:
    """In the PDF each label can be found again, and the printer had nothing to complain of."""
    drawings = draw(site)
    sheets = "".join(
        f"<figure>{printed(d, f'sld-{d.sheet}', for_print=True)}</figure>" for d in drawings
    )
    page = (
        '<!doctype html><html lang="en"><head><title>Diagram</title><style>'
        "@page { size: A4; margin: 15mm } figure { margin: 0; break-after: page }"
        f"</style></head><body>{sheets}</body></html>"
    )
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        pdf = weasyprint.HTML(string=page).write_pdf(pdf_variant="pdf/ua-1")
    complaints = [r.message for r in caplog.records if r.name == "weasyprint"]
    # Letters that no font on the machine has are printed as boxes; that is all it may say.
    assert [text for text in complaints if not text.startswith(".notdef glyph")] == []
    document = pypdfium2.PdfDocument(pdf)
    try:
        texts = []
        for found in document:
            text_page = found.get_textpage()
            texts.append(re.sub(r"\s+", "", text_page.get_text_range()))
            text_page.close()
            found.close()
    finally:
        document.close()
    assert len([text for text in texts if text]) == len(drawings)
    for drawing, text in zip(drawings, texts, strict=False):
        for label in drawing.labels:
            for row in label.rows:
                if row.text.isascii():
                    assert re.sub(r"\s+", "", row.text) in text

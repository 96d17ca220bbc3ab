"""Tags, outline, title, language, embedded data: looked at with two other libraries."""

import io
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

import pdfua
import pikepdf
import pytest

from connections.documents.diagrams import diagram_svgs
from connections.pack.content import PhaseBars, read_pack, write_pack
from tests.connections.documents.conftest import Printed

Get = Callable[[str], Printed]
NAMES = ("plain", "application", "large", "hostile")


def opened(printed: Printed) -> pikepdf.Pdf:
    return pikepdf.open(io.BytesIO(printed.pdf))


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


@pytest.mark.parametrize("name", NAMES)
def test_title_language_and_marks(printed: Get, name: str) -> None:
    found = printed(name)
    pdf = opened(found)
    state = "" if found.pack.issued else " (not issued)"
    assert str(pdf.docinfo.Title) == (
        f"{found.pack.title} – {found.pack.reference}, revision {found.pack.revision}{state}"
    )
    assert str(pdf.Root.Lang) == "en-GB"
    assert pdf.Root.MarkInfo.Marked
    assert pdf.Root.ViewerPreferences.DisplayDocTitle
    with pdf.open_metadata() as metadata:
        assert metadata.pdfa_status == "3A"
        assert "pdfuaid:part" not in metadata


@pytest.mark.parametrize("name", NAMES)
def test_every_table_head_has_its_scope(printed: Get, name: str) -> None:
    """Scopes are set through private attributes of WeasyPrint; this is what guards them."""
    pdf = opened(printed(name))
    scopes = Counter(
        str(element.A.get("/Scope"))
        for element in elements(pdf.Root.StructTreeRoot.K)
        if element.S == "/TH"
    )
    assert set(scopes) == {"/Column", "/Row"}
    assert min(scopes.values()) > 20


@pytest.mark.parametrize("name", NAMES)
def test_every_figure_says_in_words_what_is_drawn(printed: Get, name: str) -> None:
    found = printed(name)
    pdf = opened(found)
    figures = [e for e in elements(pdf.Root.StructTreeRoot.K) if e.S == "/Figure"]
    plots = [b for s in found.pack.technical.sections for b in s.blocks if isinstance(b, PhaseBars)]
    assert len(figures) == len(diagram_svgs(found.pack.technical.site)) + len(plots) > 0
    words = " ".join(str(figure.Alt) for figure in figures)
    assert [plot.told for plot in plots if plot.told not in words] == []
    for unit in found.pack.technical.site.units:
        assert unit.id in words


@pytest.mark.parametrize("name", NAMES)
def test_outline_is_the_headings(printed: Get, name: str) -> None:
    found = printed(name)
    first, *others, caution = found.pack.technical.sections
    assert caution.key == "cautions"
    page_one = {b.title for b in first.blocks if b.title}
    if found.pack.replaces:
        page_one.add(f"What changed since revision {found.pack.replaces}")
    with opened(found).open_outline() as outline:
        (top,) = outline.root
        listed = [child.title for child in top.children if child.title not in page_one]
        below = {child.title: [each.title for each in child.children] for child in top.children}
    assert top.title == found.pack.title
    assert listed == [s.title for s in others]
    assert [below[s.title] for s in others] == [
        [b.title for b in s.blocks if b.title] for s in others
    ]
    assert page_one <= set(below)


@pytest.mark.parametrize("name", NAMES)
def test_embedded_data_is_the_frozen_content(printed: Get, name: str) -> None:
    found = printed(name)
    pdf = opened(found)
    assert list(pdf.attachments) == ["pack.json"]
    spec = pdf.attachments["pack.json"]
    content = spec.get_file().read_bytes()
    assert content == write_pack(found.pack)
    assert read_pack(content) == found.pack
    assert spec.relationship == pikepdf.Name.Data
    assert [str(entry.AFRelationship) for entry in pdf.Root.AF] == ["/Data"]


@pytest.mark.parametrize("name", NAMES)
def test_only_the_two_fonts_of_the_pack_are_embedded(printed: Get, name: str) -> None:
    names = set()
    for page in opened(printed(name)).pages:
        for font in page.Resources.get("/Font", {}).values():
            names.add(str(font.BaseFont).split("+")[-1])
    assert names == {"Pack-Sans", "Pack-Sans-Bold"}


# The one rule that the checker can't run on these files, by a fault of its own with pikepdf 10.
CANNOT_RUN = {"UA-14-001"}


@pytest.mark.parametrize("name", NAMES)
def test_a_checker_finds_only_that_pdf_ua_is_not_claimed(
    printed: Get, name: str, tmp_path: Any
) -> None:
    """pdfua 0.1.3 runs 16 of the 106 rules of PDF/UA-1: a guard, not a proof."""
    path = tmp_path / "pack.pdf"
    path.write_bytes(printed(name).pdf)
    report = pdfua.validate(path)
    assert {finding.rule_id for finding in report.findings} == {"UA-28-004"}
    assert set(skipped(report)) == CANNOT_RUN


def skipped(report: Any) -> list[str]:
    return [entry.rule_id for entry in report.skipped]

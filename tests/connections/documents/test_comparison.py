"""The customer's comparison, read back: one page, tagged, in plain words."""

import datetime as dt
import io

import pikepdf
import pypdfium2
import pytest

from connections.documents.comparison import comparison_html, render_comparison
from connections.pack.comparison import ComparedRow, Comparison

PAGE = Comparison(
    title="Your designs side by side",
    reference="INV-1",
    customer="Ada Example (invented)",
    premises="1 Reedcutter Row, Fennhaven",
    prepared_on=dt.date(2026, 11, 25),
    firm="Invented Solar",
    phone="01632 960 001",
    designs=("Separate", "One hybrid inverter", "With a limit", "Copy <b>"),
    chosen="Separate",
    rows=tuple(
        ComparedRow(f"Question {n}", tuple((f"answer {n}.{k}",) * 3 for k in range(4)))
        for n in range(10)
    ),
    plots=(),
    notes=("Invented note.",),
    left_out=("A fifth one",),
)


@pytest.fixture(scope="module")
def printed():
    return render_comparison(PAGE)


def test_it_is_one_page_with_all_its_words(printed):
    pdf = pypdfium2.PdfDocument(printed)
    assert len(pdf) == 1
    text = pdf[0].get_textpage().get_text_range()
    for words in (
        "Your designs side by side",
        "For the customer",
        "Ada Example (invented)",
        "1 Reedcutter Row, Fennhaven (INV-1)",
        "Invented Solar, telephone 01632 960 001, 25 November 2026",
        "answer 9.3",
        "Copy <b>",
    ):
        assert words in text
    assert "Not on this page: A fifth one" in " ".join(text.split())


def test_it_is_tagged_and_has_a_title(printed):
    with pikepdf.open(io.BytesIO(printed)) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert "Your designs side by side" in str(pdf.docinfo["/Title"])


def test_the_same_words_give_the_same_bytes(printed):
    assert render_comparison(PAGE) == printed


def test_what_people_typed_is_escaped():
    assert "Copy <b>" not in comparison_html(PAGE)

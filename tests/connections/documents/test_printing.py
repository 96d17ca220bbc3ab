"""What a print may load, what stops it, and that it is the same every time."""

import datetime as dt
import gc
import hashlib
import logging
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from connections.documents import fonts
from connections.documents.fetching import assets
from connections.documents.fonts import font_files, printed_text
from connections.documents.html import pack_html
from connections.documents.print_error import PrintError
from connections.documents.printing import print_html
from connections.documents.render import render
from connections.pack.content import without_personal
from connections.pack.pack_error import PackError
from tests.connections.documents.conftest import Printed, page_texts, squeezed
from tests.connections.pack.cases import FILES, ON, ROOT, pack_of

Get = Callable[[str], Printed]

PAGE = (
    '<!doctype html><html lang="en-GB"><head><title>A page</title>{head}</head>'
    "<body><p>words</p>{body}</body></html>"
)
SECRET = "/etc/hostname"
HOSTILE = {
    "picture of a file": ("", f'<img alt="x" src="file://{SECRET}">'),
    "picture of the web": ("", '<img alt="x" src="http://127.0.0.1:9/x.png">'),
    "picture in the page": ("", '<img alt="x" src="data:image/png;base64,AAAA">'),
    "picture beside the page": ("", '<img alt="x" src="x.png">'),
    "object": ("", f'<object data="file://{SECRET}">x</object>'),
    "attached file": (f'<link rel="attachment" href="file://{SECRET}">', ""),
    "attached by a link": ("", f'<a rel="attachment" href="file://{SECRET}">x</a>'),
    "style of the web": ('<link rel="stylesheet" href="http://127.0.0.1:9/x.css">', ""),
    "imported style": ('<style>@import url("http://127.0.0.1:9/x.css");</style>', ""),
    "font of a file": (
        f'<style>@font-face {{font-family: x; src: url("file://{SECRET}")}}</style>',
        '<p style="font-family: x">x</p>',
    ),
    "background": ("", f'<p style="background: url(file://{SECRET})">x</p>'),
    "content": (f'<style>p::after {{content: url("file://{SECRET}")}}</style>', ""),
    "list mark": ("", f'<ul style="list-style: url(file://{SECRET})"><li>x</li></ul>'),
    "picture in a drawing": (
        "",
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><title>x</title>'
        f'<image href="file://{SECRET}" width="9" height="9"/></svg>',
    ),
    "another asset of ours": ("", '<img alt="x" src="pack:nothing.png">'),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_anything_but_our_assets_stops_the_print(name: str) -> None:
    head, body = HOSTILE[name]
    with pytest.raises(PrintError) as fault:
        print_html(PAGE.format(head=head, body=body), (), ON)
    assert "stopped" in str(fault.value)


def test_a_page_without_any_of_it_is_printed() -> None:
    assert "words" in page_texts(print_html(PAGE.format(head="", body=""), (), ON))[0]


def test_a_link_to_the_web_loads_nothing() -> None:
    body = '<p><a href="http://127.0.0.1:9/">a link</a></p>'
    assert print_html(PAGE.format(head="", body=body), (), ON).startswith(b"%PDF")


def test_our_own_asset_is_served() -> None:
    assert {"pack:pack.css", "pack:fonts/DejaVuSans.ttf"} <= set(assets())
    head = '<link rel="stylesheet" href="pack:pack.css">'
    assert print_html(PAGE.format(head=head, body=""), (), ON).startswith(b"%PDF")


def test_a_warning_stops_the_print() -> None:
    with pytest.raises(PrintError, match=r"because of a warning: .*no-such-property"):
        print_html(PAGE.format(head="<style>p {no-such-property: 1}</style>", body=""), (), ON)


def test_a_page_without_a_title_or_language_is_stopped() -> None:
    with pytest.raises(PrintError, match="lang"):
        print_html("<!doctype html><title>x</title><p>x</p>", (), ON)


def test_a_print_leaves_the_process_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "17")
    logger = logging.getLogger("weasyprint")
    before = (logger.level, logger.propagate, list(logger.handlers))
    print_html(PAGE.format(head="", body=""), (), ON)
    with pytest.raises(PrintError):
        print_html(PAGE.format(head="", body='<img alt="x" src="x.png">'), (), ON)
    assert gc.isenabled()
    assert os.environ["SOURCE_DATE_EPOCH"] == "17"
    assert (logger.level, logger.propagate, list(logger.handlers)) == before


@pytest.mark.parametrize("name", ["plain", "application", "large", "hostile"])
def test_nothing_is_warned_of(printed: Get, name: str, caplog: pytest.LogCaptureFixture) -> None:
    """A pack that drew a warning would not have been printed at all."""
    assert printed(name).pdf.startswith(b"%PDF-1.7")
    assert caplog.records == []


# Same bytes ----------------------------------------------------------------------------------

_PRINT = """
import hashlib, sys
import django
django.setup()
from connections.documents.render import render
from tests.connections.pack.cases import DECLARED, FILES, pack_of
pack = pack_of(FILES["plain"](), declaration=DECLARED, issued=True)
print(pack.digests.pack, hashlib.sha256(render(pack)).hexdigest())
"""


def test_another_process_prints_the_same_bytes(printed: Get) -> None:
    """One with other hashes, another place and other words; here hashes are random."""
    found = printed("plain")
    environment = os.environ | {
        "PYTHONHASHSEED": "4242",
        "DJANGO_SETTINGS_MODULE": "sites.settings",
        "SECRET_KEY": "for this test alone",
        "TZ": "Pacific/Auckland",
        "LANG": "C",
    }
    done = subprocess.run(
        [sys.executable, "-c", _PRINT],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.split() == [
        found.pack.digests.pack,
        hashlib.sha256(found.pdf).hexdigest(),
    ]
    assert done.stderr == ""


def test_printing_again_gives_the_same_bytes(printed: Get) -> None:
    found = printed("plain")
    assert render(found.pack) == found.pdf


def test_another_date_gives_other_bytes() -> None:
    html = PAGE.format(head="", body="")
    assert print_html(html, (), ON) == print_html(html, (), ON)
    tagged = html.replace("</title>", '</title><meta name="dcterms.created" content="2026-01-01">')
    assert print_html(tagged, (), ON) != print_html(html, (), ON)


# Text that people typed ----------------------------------------------------------------------


def test_markup_that_people_typed_is_printed_as_typed(printed: Get) -> None:
    found = printed("hostile")
    html = pack_html(found.pack)
    for markup in ("<script", "<img", "<b>", "<link rel=attachment"):
        assert markup not in html
    text = squeezed(" ".join(found.pages))
    for typed in (
        "<script>alert(1)</script>",
        "<img src=http://example.org/x.png>",
        "<link rel=attachment href=file:///etc/passwd>",
        "<b>&\"'bat",
        "{{ pack }} {% include 'x' %}",
        "W" * 16,
    ):
        assert squeezed(typed) in text, typed


def test_what_no_font_has_is_replaced_on_the_page_and_kept_in_the_data(printed: Get) -> None:
    found = printed("hostile")
    assert found.pack.personal is not None
    assert "🔋" in found.pack.personal.values["customer.name"]
    html = pack_html(found.pack)
    assert "🔋" not in html
    assert "שלום" in html
    assert fonts.REPLACEMENT in html


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("plain", "plain"),
        ("ä é ß Ω ² ÷ – “”", "ä é ß Ω ² ÷ – “”"),
        ("שלום مرحبا", "שלום مرحبا"),
        ("電池", "\ufffd\ufffd"),
        ("\u202eabc\u202c", "\ufffdabc\ufffd"),
        ("\u2066abc\u2069", "\ufffdabc\ufffd"),
        ("a\tb\nc", "a\tb\nc"),
        ("\x00", "\ufffd"),
    ],
)
def test_printed_text(typed: str, shown: str) -> None:
    assert printed_text(typed) == shown


# What can't be printed -----------------------------------------------------------------------


def test_a_pack_without_its_personal_part_is_not_printed(printed: Get) -> None:
    with pytest.raises(PrintError, match="personal part"):
        render(without_personal(printed("plain").pack))


def test_a_changed_pack_is_not_printed(printed: Get) -> None:
    import msgspec

    changed = msgspec.structs.replace(printed("plain").pack, title="Another title")
    with pytest.raises(PackError, match="digest"):
        render(changed)


def test_a_missing_font_names_the_package(tmp_path: Path) -> None:
    with pytest.raises(PrintError, match=r"install the package fonts-dejavu-core"):
        font_files(tmp_path)


def test_another_font_of_that_name_is_refused(tmp_path: Path) -> None:
    for name in fonts.KNOWN:
        (tmp_path / name).write_bytes(b"another font")
    digest = hashlib.sha256(b"another font").hexdigest()
    with pytest.raises(PrintError, match=rf"{digest}.*fonts-dejavu-core of Debian 12"):
        font_files(tmp_path)


def test_the_fonts_here_are_known() -> None:
    assert set(font_files()) == set(fonts.KNOWN)


def test_the_date_of_the_pack_is_the_date_of_the_pdf() -> None:
    import io

    import pikepdf

    pack = pack_of(FILES["plain"](), prepared_on=dt.date(2027, 2, 3))
    pdf = pikepdf.open(io.BytesIO(render(pack)))
    assert str(pdf.docinfo.CreationDate).startswith("D:20270203")
    assert str(pdf.docinfo.ModDate).startswith("D:20270203")
    params = pdf.attachments["pack.json"].get_file().obj.Params
    assert str(params.CreationDate).startswith("D:20270203")

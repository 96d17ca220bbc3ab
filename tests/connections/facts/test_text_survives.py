"""Names as people type them come back as they were; what a page can't show is refused."""

import json

import pytest

from connections.facts.canonical import canonical
from connections.facts.reading import read_site, write_site
from connections.facts.site_file_error import SiteFileError
from tests.site_files import decision, file, site, unit

TEXTS = [
    "<script>alert('x')</script>",
    "a < b & c > d \"e\" 'f'",
    "شركة الطاقة الشمسية",  # right-to-left
    "abc\u202edef\u202c",  # a right-to-left override and its end
    "☀️🔋 Solar 👩🏽‍🔧",
    "Zażółć gęślą jaźń",
    "e\u0301 and \u00e9",  # two spellings of one letter stay two
    "line one\nline two\ttabbed",
    'back\\slash and "quotes"',
]


@pytest.mark.parametrize("text", TEXTS)
def test_text_survives_the_round_trip(text):
    written = write_site(site(unit(text, maker=text, model=text), reference=text))
    again = read_site(written)
    assert (again.reference, again.units[0].id, again.units[0].maker) == (text, text, text)
    assert write_site(again) == written


@pytest.mark.parametrize("text", TEXTS)
def test_text_survives_into_the_decision(text):
    answer = decision(unit(text, type_tested="no"), reference=text)
    plain = json.loads(canonical(answer))
    assert plain["reference"] == text
    assert plain["modules"][0]["units"] == [text]
    told = next(f for f in plain["findings"] if f["id"] == "not-type-tested")
    assert told["subject"] == text
    assert text in told["sentence"]


@pytest.mark.parametrize("code", [0x00, 0x01, 0x08, 0x0B, 0x0C, 0x0D, 0x1B, 0x7F, 0x80, 0x85, 0x9F])
@pytest.mark.parametrize("ascii_only", [True, False])
def test_control_characters_are_refused_however_they_are_written(code, ascii_only):
    content = file(unit(maker=f"a{chr(code)}b"))
    raw = json.dumps(content, ensure_ascii=ascii_only)
    with pytest.raises(SiteFileError) as caught:
        read_site(raw)
    assert caught.value.path == "units[0].maker"
    assert caught.value.message == "this holds a control character; type the text again"


def test_signs_beside_the_control_characters_are_kept():
    text = "5 £ × ½ ° \u00a0 ÿ"
    assert site(unit(maker=text)).units[0].maker == text

"""What a browser can fetch, and that it is what its makers published."""

import hashlib
import re
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders

from sites.house import statics


def found(address):
    path = finders.find(address)
    assert path is not None, address
    return Path(path)


def test_each_file_that_is_used_is_found():
    for address, _package, _way in statics.USED:
        assert found(address).is_file(), address
    assert statics.LibraryFiles().check() == []


DIGESTS = {
    "bootstrap/css/bootstrap.min.css": (
        "d85327d99c7a3ee1f9b5d0500d1370acea3ad2db39c163c2f51f232baedbdede"
    ),
    "django_htmx/htmx-2.min.js": (
        "71ea67185bfa8c98c39d31717c6fce5d852370fcdfd129db4543774d3145c0de"
    ),
}


# sha256 of bootstrap 5.3.8 and htmx 2.0.10 as their makers publish them, computed from the
# packages pinned in requirements.txt: another build under the same number would not pass.
@pytest.mark.parametrize("address", [used[0] for used in statics.USED if ".map" not in used[0]])
def test_a_page_gets_no_other_bytes_than_the_pinned_ones(address):
    digest = hashlib.sha256(found(address).read_bytes()).hexdigest()
    assert digest == DIGESTS[address]


@pytest.mark.parametrize(
    "address",
    [
        "bootstrap/js/bootstrap.bundle.min.js",
        "bootstrap/css/../css/bootstrap.min.css",
        "django_htmx/htmx-4.min.js",
        "../sites/settings.py",
    ],
)
def test_nothing_else_of_the_packages_is_served(client, address):
    assert statics.LibraryFiles().find(address) == []
    assert client.get(f"/static/{address}").status_code in {302, 404}


def test_files_are_served_without_collecting_or_signing_in(client):
    answer = client.get("/static/css/meterside.css")
    assert answer.status_code == 200
    assert b"--paper" in answer.getvalue()
    assert "Access-Control-Allow-Origin" not in answer


def test_a_package_that_lost_a_file_is_an_error(monkeypatch):
    monkeypatch.setattr(statics, "USED", (("gone.css", "django_htmx", "static/gone.css"),))
    (error,) = statics.LibraryFiles().check()
    assert error.id == "sites.E003"
    assert "gone.css" in error.msg


def test_templates_have_nothing_inline():
    """The policy on content would stop it; better to hear of it here."""
    pages = [
        file
        for file in (settings.ROOT / "templates").rglob("*.html")
        if file.parent.name != "pack"  # printed, not shown by a browser
    ]
    assert pages
    for file in pages:
        text = file.read_text(encoding="utf-8")
        assert not re.search(r"\sstyle\s*=", text), file
        assert not re.search(r"\son[a-z]+\s*=", text), file
        assert not re.search(r"<script(?![^>]*\ssrc=)", text), file
        assert "<style" not in text, file


def test_text_can_be_read_on_its_ground():
    """WCAG 2.2, 1.4.3: 4.5:1 for text; 1.4.11: 3:1 for edges of what can be acted on."""
    css = (settings.ROOT / "static/css/meterside.css").read_text(encoding="utf-8")
    colours = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", css))
    for text in ("ink", "ink-soft", "accent", "accent-dark", "stops", "decide", "inform", "done"):
        for ground in ("paper", "paper-raised", "paper-sunk"):
            assert contrast(colours[text], colours[ground]) >= 4.5, (text, ground)
    for text, ground in (
        ("ink", "stops-tint"),
        ("ink", "decide-tint"),
        ("ink", "accent-tint"),
        ("accent", "decide-tint"),
        ("accent", "stops-tint"),
        ("accent", "accent-tint"),
    ):
        assert contrast(colours[text], colours[ground]) >= 4.5, (text, ground)
    assert contrast(colours["rule-strong"], colours["paper"]) >= 3
    assert contrast("#ffffff", colours["accent"]) >= 4.5


def contrast(one, other):
    """Contrast ratio as WCAG 2.2 defines it, with its relative luminance."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour):
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b

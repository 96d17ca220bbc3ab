"""The firm's details and its logo."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image, ImageFile, PngImagePlugin

from sites.people.logos import LogoError, small_png
from sites.people.models import Firm
from sites.people.reading import logo_of_firm
from tests.sites.making import make_person, small_picture

DETAILS = {
    "name": "Vole Solar (invented)",
    "address": "1 Dyke\nFennhaven",
    "email": "o@vole.example",
}


@pytest.fixture
def managing(client, db):
    client.force_login(make_person("manager"))
    return client


def upload(data: bytes) -> SimpleUploadedFile:
    return SimpleUploadedFile("logo.png", data)


def test_the_details_and_the_logo_are_kept_and_shown(managing):
    managing.post(reverse("firm"), {**DETAILS, "logo": upload(small_picture("JPEG", (1200, 300)))})
    firm = Firm.objects.get()
    assert (firm.name, firm.requires_code) == (DETAILS["name"], False)
    # 1200 by 300 in a box of 600 by 240: halved.
    assert Image.open(io.BytesIO(logo_of_firm())).size == (600, 150)

    managing.logout()
    shown = managing.get(reverse("firm-logo"))
    assert (shown["Content-Type"], shown.content) == ("image/png", logo_of_firm())
    assert reverse("firm-logo") in managing.get(reverse("sign-in")).content.decode()


def test_a_save_without_a_picture_keeps_the_logo_and_a_tick_takes_it_out(managing):
    managing.post(reverse("firm"), {**DETAILS, "logo": upload(small_picture())})
    managing.post(reverse("firm"), {**DETAILS, "requires_code": "on"})
    assert Firm.objects.get().requires_code
    assert logo_of_firm()
    Firm.objects.update(requires_code=False)
    managing.post(reverse("firm"), {**DETAILS, "no_logo": "on"})
    assert logo_of_firm() == b""
    assert managing.get(reverse("firm-logo")).status_code == 404


def test_nothing_of_a_refused_page_is_kept_but_what_was_typed(managing):
    page = managing.post(reverse("firm"), {**DETAILS, "logo": upload(b"<svg onload=alert(1)>")})
    assert page.status_code == 422
    assert "This is no PNG or JPEG picture." in page.content.decode()
    assert 'value="Vole Solar (invented)"' in page.content.decode()
    assert not Firm.objects.exists()


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"GIF89a" + bytes(40), "no PNG or JPEG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no PNG or JPEG"),
        (small_picture()[:45], "broken"),
        (small_picture("JPEG", (400, 400))[:300], "broken"),
        (small_picture("JPEG", (400, 400))[:-300], "broken"),
        (bytes(2_000_001), "larger than 2 MB"),
        (small_picture(size=(5000, 4001)), "more than 20 million pixels"),
    ],
    ids=["gif", "svg", "cut png", "cut jpeg", "jpeg without its end", "heavy", "large"],
)
def test_what_is_no_logo_is_refused_in_words(data, says, monkeypatch):
    # As in a process that has printed: WeasyPrint sets it for all of Pillow.
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    with pytest.raises(LogoError, match=says):
        small_png(data)


def test_nothing_else_that_the_file_held_goes_along():
    text = PngImagePlugin.PngInfo()
    text.add_text("Comment", "secret words")
    kept = small_png(small_picture(pnginfo=text) + b"<script>more</script>")
    assert b"secret words" not in kept
    assert b"script" not in kept
    assert Image.open(io.BytesIO(kept)).getpixel((0, 0)) == (200, 80, 20)

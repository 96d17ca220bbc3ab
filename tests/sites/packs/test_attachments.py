"""Attaching files on the page of a pack, and handing them out."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from sites.house.examining import MOST_BYTES
from sites.review.models import Attachment
from tests.sites.making import make_premises
from tests.sites.review.making import make_pdf, make_picture


@pytest.fixture
def case(office):
    return make_premises(by=office)


def whole(answer):
    """The bytes of a file that is handed out; read to its end it closes by itself."""
    return b"".join(answer.streaming_content)


def add(case):
    return reverse("attachment-add", args=[case.key])


def file(name="sheet.pdf", content=None, kind="application/pdf"):
    return SimpleUploadedFile(name, make_pdf() if content is None else content, kind)


def preview(case):
    return reverse("pack-preview", args=[case.application.key])


@pytest.mark.database
def test_an_attached_file_is_listed_and_handed_out_to_be_saved(by_office, case):
    content = make_pdf(pages=2)
    answer = by_office.post(add(case), {"file": file(content=content), "title": "Data sheet"})
    assert answer.status_code == 302
    attachment = Attachment.objects.get()
    address = reverse("attachment", args=[attachment.key])
    text = by_office.get(preview(case)).text
    assert address in text
    assert "Data sheet" in text
    handed = by_office.get(address)
    assert whole(handed) == content
    assert handed["Content-Disposition"] == 'attachment; filename="sheet.pdf"'
    assert handed["X-Content-Type-Options"] == "nosniff"
    assert handed["Content-Type"] == "application/pdf"
    assert "default-src 'none'" in handed["Content-Security-Policy"]


def test_a_picture_that_is_a_page_too_is_handed_out_as_a_picture(by_office, case):
    hostile = make_picture() + b"<html><script>alert(document.cookie)</script></html>"
    sent = {"file": file("logo.html", hostile, "text/html"), "title": "Logo"}
    assert by_office.post(add(case), sent).status_code == 302
    handed = by_office.get(reverse("attachment", args=[Attachment.objects.get().key]))
    content = whole(handed)
    assert b"script" not in content
    assert handed["Content-Type"] == "image/png"
    assert 'filename="logo.html.png"' in handed["Content-Disposition"]


def test_names_that_want_to_be_headers_are_names(by_office, case):
    name = 'a"; filename="evil.html\r\nX-Evil: 1.pdf'
    by_office.post(add(case), {"file": file(name), "title": "Odd"})
    handed = by_office.get(reverse("attachment", args=[Attachment.objects.get().key]))
    whole(handed)
    assert "X-Evil" not in handed
    assert handed["Content-Disposition"].startswith("attachment;")
    assert "\n" not in handed["Content-Disposition"]


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"title": "Nothing"}, "Choose a file."),
        ({"file": ("a.pdf", b""), "title": "Empty"}, "The file is empty."),
        ({"file": ("a.pdf", b"<html>"), "title": "Page"}, "not a PDF, PNG or JPEG"),
        ({"file": ("a.pdf", make_pdf(pages=61)), "title": "Long"}, "60 are the most"),
        ({"file": ("a.pdf", make_pdf()), "title": ""}, "Say in a few words what it is."),
        ({"file": ("a" * 300 + ".pdf", make_pdf()), "title": "Name"}, "at most 200 characters"),
    ],
)
def test_what_is_not_taken_says_why_at_its_box(by_office, case, sent, says):
    if "file" in sent:
        sent = {**sent, "file": file(*sent["file"])}
    page = by_office.post(add(case), sent)
    assert page.status_code == 422
    (fault,) = page.context["faults"]
    assert says in fault.message
    assert f'id="{fault.target}"' in page.text
    assert f"{fault.target}_error" in page.text
    assert not Attachment.objects.exists()


def test_what_was_typed_beside_a_refused_file_stays(by_office, case):
    page = by_office.post(add(case), {"file": file(content=b"<html>"), "title": "My words"})
    assert 'value="My words"' in page.text


@pytest.mark.parametrize("size", [MOST_BYTES + 300_000, 50_000_000])
def test_a_post_that_weighs_too_much_is_answered_in_words(by_office, case, size):
    page = by_office.post(add(case), {"file": file(content=bytes(size)), "title": "Heavy"})
    assert page.status_code == 422
    assert f"{size / 1_000_000:.1f} MB; 8 MB are the most" in page.text
    assert not Attachment.objects.exists()


def test_a_post_that_says_it_weighs_too_much_is_never_parsed(by_office, case, monkeypatch):
    """The body is read past, not parsed: what stands in it does not matter."""
    monkeypatch.setattr(
        "django.http.multipartparser.MultiPartParser.parse",
        lambda _self: pytest.fail("it was parsed"),
    )
    answer = by_office.generic(
        "POST", add(case), b"x" * (MOST_BYTES + 300_000), "multipart/form-data; boundary=x"
    )
    assert answer.status_code == 422


def test_without_a_token_nothing_is_attached(office, case):
    from django.test import Client

    strict = Client(enforce_csrf_checks=True)
    strict.force_login(office)
    answer = strict.post(add(case), {"file": file(), "title": "x"})
    assert answer.status_code == 403
    assert not Attachment.objects.exists()


def test_taken_out_it_is_gone_from_the_page_and_still_handed_out(by_office, case):
    by_office.post(add(case), {"file": file(), "title": "Data sheet"})
    attachment = Attachment.objects.get()
    address = reverse("attachment", args=[attachment.key])
    out = reverse("attachment-take-out", args=[attachment.key])
    page = by_office.post(out, follow=True)
    assert "Issued packs keep it." in page.text
    assert address not in page.text
    handed = by_office.get(address)
    assert whole(handed).startswith(b"%PDF")


def test_asked_for_again_a_file_is_not_sent_again(by_office, case):
    by_office.post(add(case), {"file": file(), "title": "Data sheet"})
    address = reverse("attachment", args=[Attachment.objects.get().key])
    first = by_office.get(address)
    whole(first)
    again = by_office.get(address, headers={"if-none-match": first["ETag"]})
    assert again.status_code == 304


def test_a_picture_that_is_a_lie_is_refused(by_office, case):
    broken = io.BytesIO(make_picture()).getvalue()[:50]
    page = by_office.post(add(case), {"file": file("a.png", broken, "image/png"), "title": "x"})
    assert page.status_code == 422
    assert "damaged" in page.text

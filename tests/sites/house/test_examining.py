"""What is taken of the files that people send, and what is refused; looked into by the process of
its own that the pages use."""

import io
import zlib
from typing import Any

import pikepdf
import pytest
from PIL import Image

from sites.house import examining
from sites.house.few import one_of_few
from sites.house.refusals import RefusedError
from sites.house.uploads import examine
from tests.sites.review.making import (
    make_pdf,
    make_picture,
    pdf_of,
    pdf_that_unpacks_to,
    png_that_says,
)

NAME = pikepdf.Name


def refusal(content: bytes, name: str = "file.pdf") -> str:
    with pytest.raises(RefusedError) as refused:
        examine(name=name, content=content)
    assert refused.value.field == "file"
    return refused.value.message


def test_a_pdf_is_kept_byte_by_byte():
    content = make_pdf(pages=3)
    upload = examine(name="data sheet.pdf", content=content, title="  Data   sheet ")
    assert upload.content == content
    assert (upload.media_type, upload.pages) == ("application/pdf", 3)
    assert (upload.name, upload.title) == ("data sheet.pdf", "Data sheet")


@pytest.mark.parametrize(("kind", "media_type"), [("PNG", "image/png"), ("JPEG", "image/jpeg")])
def test_a_picture_is_drawn_anew(kind, media_type):
    upload = examine(name="photo.png", content=make_picture(kind))
    assert upload.media_type == media_type
    with Image.open(io.BytesIO(upload.content)) as picture:
        assert (picture.format, picture.size) == (kind, (60, 40))


def test_a_picture_keeps_its_colours_and_loses_what_was_said_about_it():
    out = io.BytesIO()
    about = Image.Exif()
    about[0x013B] = "Somebody by name"  # artist
    Image.new("RGB", (8, 8), (10, 120, 110)).save(out, "PNG", exif=about)
    assert b"Somebody by name" in out.getvalue()
    upload = examine(name="photo.png", content=out.getvalue())
    assert b"Somebody by name" not in upload.content
    with Image.open(io.BytesIO(upload.content)) as picture:
        assert picture.convert("RGB").getpixel((3, 3)) == (10, 120, 110)


def test_what_hides_behind_a_picture_is_gone():
    content = make_picture() + b"<html><script>alert(1)</script></html>"
    upload = examine(name="photo.png", content=content)
    assert b"script" not in upload.content
    assert upload.media_type == "image/png"


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("photo.pdf", "photo.png"),
        ("photo.PNG", "photo.png"),
        ("../../etc/passwd", "passwd.png"),
        ("C:\\plans\\site plan.png", "site plan.png"),
        ("évil\u202egnp.exe", "évilgnp.exe.png"),
        ("a\nb\0c.png", "abc.png"),
        ("", "file.png"),
        ("...", "file.png"),
        ("x" * 400 + ".png", "x" * 150 + ".png"),
    ],
)
def test_the_name_follows_the_content_and_leads_nowhere(name, kept):
    assert examine(name=name, content=make_picture()).name == kept


@pytest.mark.parametrize(
    "content",
    [
        b"<!doctype html><script>alert(1)</script>",
        b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>',
        b"MZ\x90\x00" + bytes(200),
        b"PK\x03\x04" + bytes(200),
        b"GIF89a" + bytes(50),
        b"junk before " + make_pdf(),
        b"just words",
    ],
)
@pytest.mark.parametrize("name", ["file.pdf", "file.png"])
def test_what_is_no_pdf_or_picture_is_refused_whatever_it_is_called(content, name):
    assert "not a PDF, PNG or JPEG" in refusal(content, name)


def _script_on_opening(pdf: pikepdf.Pdf) -> None:
    pdf.Root.OpenAction = pikepdf.Dictionary(S=NAME.JavaScript, JS="app.alert(1)")


def _script_by_name(pdf: pikepdf.Pdf) -> None:
    script = pdf.make_indirect(pikepdf.Dictionary(S=NAME.JavaScript, JS="app.alert(1)"))
    names = pikepdf.Array([pikepdf.String("a"), script])
    pdf.Root.Names = pikepdf.Dictionary(JavaScript=pikepdf.Dictionary(Names=names))


def _goes_somewhere_on_opening(pdf: pikepdf.Pdf) -> None:
    pdf.Root.OpenAction = pikepdf.Array([pdf.pages[0].obj, NAME.Fit])


def _act_on_a_page(pdf: pikepdf.Pdf) -> None:
    act = pikepdf.Dictionary(S=NAME.URI, URI="http://example.org")
    pdf.pages[0].obj.AA = pikepdf.Dictionary(O=act)


def _starts_a_program(pdf: pikepdf.Pdf) -> None:
    act = pikepdf.Dictionary(S=NAME.Launch, F="program")
    note = pikepdf.Dictionary(Type=NAME.Annot, Subtype=NAME.Link, A=act, Rect=[0, 0, 9, 9])
    pdf.pages[0].obj.Annots = pikepdf.Array([note])


def _carries_a_file(pdf: pikepdf.Pdf) -> None:
    pdf.attachments["inner.txt"] = b"hidden"


def _plays_something(pdf: pikepdf.Pdf) -> None:
    note = pikepdf.Dictionary(Type=NAME.Annot, Subtype=NAME.RichMedia, Rect=[0, 0, 9, 9])
    pdf.pages[0].obj.Annots = pikepdf.Array([note])


def _link(**act: Any) -> Any:
    """A change that puts a link with this action on the first page."""

    def change(pdf: pikepdf.Pdf) -> None:
        note = pikepdf.Dictionary(Type=NAME.Annot, Subtype=NAME.Link, Rect=[0, 0, 9, 9])
        note.A = pikepdf.Dictionary(**act)
        pdf.pages[0].obj.Annots = pikepdf.Array([note])

    return change


def _base_of_links(pdf: pikepdf.Pdf) -> None:
    pdf.Root.URI = pikepdf.Dictionary(Base="file:///srv/")


def _data_elsewhere(pdf: pikepdf.Pdf) -> None:
    pdf.pages[0].obj.Contents = pdf.make_stream(b"", F=pikepdf.String("/etc/hostname"))


def _draws_one_stream_often(pdf: pikepdf.Pdf) -> None:
    """60 times 1 MB: more than the 50 MB that a page may draw."""
    once = pdf.make_indirect(pdf.make_stream(b"q Q " * 250_000))
    pdf.pages[0].obj.Contents = pikepdf.Array([once] * 60)


def _unpacks_to_60_megabytes(pdf: pikepdf.Pdf) -> None:
    packed = zlib.compress(b" " * 60_000_000, 9)
    pdf.pages[0].obj.Contents = pdf.make_stream(packed, Filter=NAME.FlateDecode)


def _unpacks_five_times_to_45(pdf: pikepdf.Pdf) -> None:
    packed = zlib.compress(b" " * 45_000_000, 9)
    for number in range(5):
        font = pdf.make_stream(packed, Filter=NAME.FlateDecode)
        pdf.Root[f"/Kept{number}"] = pdf.make_indirect(font)


def _draws_a_huge_picture(pdf: pikepdf.Pdf) -> None:
    picture = pdf.make_stream(b"", Subtype=NAME.Image, Width=10_000, Height=10_000)
    pdf.pages[0].obj.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(A=picture))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (_link(S=NAME.URI, URI="javascript:alert(1)"), "something else than a web page"),
        (_link(S=NAME.URI, URI=" Java\nScript:alert(1)"), "something else than a web page"),
        (_link(S=NAME.URI, URI="file:///etc/hostname"), "something else than a web page"),
        (_link(S=NAME.URI, URI="data:text/html,x"), "something else than a web page"),
        (_link(S=NAME.GoToR, F="other.pdf", D=[0, NAME.Fit]), "opens another file"),
        (_link(S=NAME.GoToE, F="other.pdf", D=[0, NAME.Fit]), "opens another file"),
        (_link(S=NAME.Launch, Win=pikepdf.Dictionary(F="program")), "start a program"),
        (_base_of_links, "something else than a web page"),
        (_data_elsewhere, "opens another file"),
        (_draws_one_stream_often, "unpacks to far more"),
        (_unpacks_to_60_megabytes, "unpacks to far more"),
        (_unpacks_five_times_to_45, "unpacks to far more"),
        (_draws_a_huge_picture, "unpacks to far more"),
    ],
)
def test_a_pdf_that_leads_elsewhere_or_unpacks_too_far_is_refused(change, says):
    assert says in refusal(pdf_of(change))


@pytest.mark.parametrize("address", ["https://works.example/a", "MAILTO:office@firm.example"])
def test_a_pdf_with_links_of_the_web_is_taken(address):
    content = pdf_of(_link(S=NAME.URI, URI=address))
    assert examine(name="a.pdf", content=content).pages == 1


def test_a_full_pool_answers_at_once():
    with one_of_few(), one_of_few():
        assert "Send this one again" in refusal(make_pdf())
    assert examine(name="a.pdf", content=make_pdf()).pages == 1


def _form_that_runs(pdf: pikepdf.Pdf) -> None:
    pdf.Root.AcroForm = pikepdf.Dictionary(XFA=pdf.make_stream(b"<x/>"), Fields=[])


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (_script_on_opening, "by itself when it is opened"),
        (_goes_somewhere_on_opening, "by itself when it is opened"),
        (_script_by_name, "script"),
        (_act_on_a_page, "when a page is turned"),
        (_starts_a_program, "start a program"),
        (_carries_a_file, "other files are hidden"),
        (_plays_something, "films or sound"),
        (_form_that_runs, "form that runs"),
    ],
)
@pytest.mark.parametrize("packed", [False, True])
def test_a_pdf_that_does_something_is_refused(change, says, packed):
    streams = pikepdf.ObjectStreamMode.generate if packed else pikepdf.ObjectStreamMode.disable
    message = refusal(pdf_of(change, object_stream_mode=streams))
    assert says in message
    assert "Print it to a new PDF" in message


@pytest.mark.parametrize("user", ["", "secret"])
def test_a_locked_pdf_is_refused(user):
    content = pdf_of(encryption=pikepdf.Encryption(owner="owner", user=user))
    assert "locked" in refusal(content)


def test_a_pdf_of_too_many_pages_is_refused():
    assert "61 pages; 60 are the most" in refusal(make_pdf(pages=61))
    assert examine(name="a.pdf", content=make_pdf(pages=60)).pages == 60


@pytest.mark.parametrize("content", [make_pdf()[:200], b"%PDF-1.7\n" + bytes(500)])
def test_a_damaged_pdf_is_refused(content):
    assert "damaged" in refusal(content)


def test_a_pdf_that_unpacks_to_far_more_is_refused():
    """100 MB of blanks in 100 kB, and one object among them: a reader that unpacks it sees more
    than one that gives up."""
    small, large = pdf_that_unpacks_to(100_000), pdf_that_unpacks_to(100_000_000)
    assert len(large) < 150_000
    assert examine(name="a.pdf", content=small).pages == 1
    assert "unpacks to far more" in refusal(large)


def test_a_picture_of_a_hundred_million_points_is_refused_before_it_is_drawn():
    message = refusal(png_that_says(10_000, 10_000), "plan.png")
    assert "10000 × 10000" in message
    assert "40 million" in message


def test_a_picture_whose_head_lies_is_refused():
    assert "damaged" in refusal(make_picture()[:60], "photo.png")


def test_an_empty_file_is_refused():
    assert "empty" in refusal(b"")


def test_a_file_over_the_cap_is_refused_before_anything_looks_at_it(monkeypatch):
    monkeypatch.setattr("subprocess.run", lambda *_a, **_k: pytest.fail("it was looked into"))
    assert "8 MB are the most" in refusal(bytes(examining.MOST_BYTES + 1))

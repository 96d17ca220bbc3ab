"""Printing in the worker: once however often it is asked, and noted when it fails."""

import hashlib
import io

import pikepdf
import pytest
from django.core.management import call_command
from django_tasks_db.models import DBTaskResult

from connections.documents.print_error import PrintError
from connections.pack.content import write_pack
from sites.house import storage
from sites.house.refusals import RefusedError
from sites.house.uploads import examine
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import pack_of
from sites.packs.writing.asking_to_print import ask_to_print_again
from sites.packs.writing.printing import print_frozen, printed_again, render_frozen
from sites.review.writing.attachments import add_attachment
from tests.sites.making import make_pack
from tests.sites.review.making import acts, make_pdf, make_picture


@pytest.fixture
def pack(plain, engineer):
    for name, content in (("sheet.pdf", make_pdf(pages=2)), ("photo.png", make_picture())):
        upload = examine(name=name, content=content, title=name.partition(".")[0])
        add_attachment(case=plain, upload=upload, by=engineer)
    return make_pack(plain, by=engineer)


def again(pack: FrozenPack) -> FrozenPack:
    return FrozenPack.objects.select_related("personal", "application").get(pk=pack.pk)


def test_a_print_is_stored_under_its_digest_and_noted(pack, plain, quick_print):
    sha256 = print_frozen(pack.digest)
    content = storage.stored(sha256)
    assert hashlib.sha256(content).hexdigest() == sha256
    assert content.startswith(b"%PDF-")
    pack = again(pack)
    assert (pack.pdf_sha256, pack.print_fault) == (sha256, "")
    assert pack.printed_at is not None
    assert acts(plain)[-1] == "pack.printed"


def test_printed_twice_it_is_one_print(pack, plain, quick_print, monkeypatch, store):
    sha256 = print_frozen(pack.digest)
    noted = again(pack).printed_at
    monkeypatch.setattr(
        "connections.documents.render.render", lambda *_a: pytest.fail("it was rendered again")
    )
    assert print_frozen(pack.digest) == sha256
    assert again(pack).printed_at == noted
    assert acts(plain).count("pack.printed") == 1


def test_of_two_prints_at_once_the_first_is_noted(pack, plain, store, quick_print):
    """Both began before either had ended; the second comes with other bytes, as from another
    machine, and leaves nothing behind."""

    with pytest.MonkeyPatch.context() as begun_first:

        def other_bytes(*_args):
            begun_first.undo()
            print_frozen(pack.digest)
            return b"%PDF-other"

        begun_first.setattr("connections.documents.render.render", other_bytes)
        print_frozen(pack.digest)
    first = again(pack).pdf_sha256
    other = hashlib.sha256(b"%PDF-other").hexdigest()
    assert first != other
    assert storage.stored(first).startswith(b"%PDF-1.7")
    assert not storage.path_of(other).exists()
    assert acts(plain).count("pack.printed") == 1


def test_the_pdf_carries_its_content_and_its_files(pack):
    """Read back with pikepdf: the files are those that were attached, byte by byte."""
    whole = pack_of(again(pack))
    sha256 = print_frozen(pack.digest)
    with pikepdf.open(io.BytesIO(storage.stored(sha256))) as pdf:
        carried = {name: file.get_file().read_bytes() for name, file in pdf.attachments.items()}
        relations = {name: str(file.obj.AFRelationship) for name, file in pdf.attachments.items()}
    assert carried.pop("pack.json") == write_pack(whole)
    assert {name: hashlib.sha256(content).hexdigest() for name, content in carried.items()} == {
        f"{number:02d} {file.name}": file.sha256
        for number, file in enumerate(whole.technical.attachments, start=1)
    }
    assert relations["01 sheet.pdf"] == relations["02 photo.png"] == "/Supplement"


def test_a_failure_is_noted_and_raised_and_can_be_tried_again(pack, plain, office, monkeypatch):
    def fails(*_args):
        raise PrintError("The font is missing; install it.")

    monkeypatch.setattr("connections.documents.render.render", fails)
    with pytest.raises(PrintError):
        print_frozen(pack.digest)
    assert again(pack).print_fault == "The font is missing; install it."
    assert acts(plain)[-1] == "pack.print-failed"
    monkeypatch.undo()

    before = DBTaskResult.objects.count()
    ask_to_print_again(pack=pack, by=office)
    assert again(pack).print_fault == ""
    assert DBTaskResult.objects.count() == before + 1
    assert acts(plain)[-1] == "pack.print-asked"


def test_what_is_printed_is_not_asked_for_again(pack, plain, office):
    FrozenPack.objects.filter(pk=pack.pk).update(pdf_sha256="a" * 64, annex_pdf_sha256="b" * 64)
    with pytest.raises(RefusedError, match="printed already"):
        ask_to_print_again(pack=pack, by=office)
    assert acts(plain)[-1] == "pack.issued"


def test_a_fault_of_the_program_is_noted_without_its_inside(pack, monkeypatch):
    def fails(*_args):
        raise KeyError("/home/somebody/secret")

    monkeypatch.setattr("connections.documents.render.render", fails)
    with pytest.raises(KeyError):
        print_frozen(pack.digest)
    assert "secret" not in again(pack).print_fault
    assert again(pack).print_fault


def test_a_file_that_is_gone_from_the_store_stops_the_print(pack):
    (first, _second) = pack_of(again(pack)).technical.attachments
    storage.remove(first.sha256)
    with pytest.raises(storage.FileGoneError):
        print_frozen(pack.digest)
    assert "is not in the store" in again(pack).print_fault


def test_a_file_that_was_changed_in_the_store_stops_the_print(pack):
    (first, _second) = pack_of(again(pack)).technical.attachments
    storage.path_of(first.sha256).write_bytes(make_pdf(pages=3))
    with pytest.raises(storage.FileGoneError, match="not what was stored"):
        render_frozen(pack_of(again(pack)))


@pytest.mark.django_db(transaction=True)
def test_the_worker_prints_what_waits(pack, quick_print):
    call_command("db_worker", batch=True, startup_delay=False, verbosity=0, reload=False)
    assert DBTaskResult.objects.get().status == "SUCCESSFUL"
    assert again(pack).pdf_sha256 == DBTaskResult.objects.get().return_value


def test_rebuilding_gives_the_same_bytes(pack):
    sha256 = print_frozen(pack.digest)
    assert printed_again(pack.digest) == {"same": True, "sha256": sha256, "fault": ""}


def test_rebuilding_tells_that_the_print_is_another(pack, quick_print):
    FrozenPack.objects.filter(pk=pack.pk).update(pdf_sha256="a" * 64)
    found = printed_again(pack.digest)
    assert found["same"] is False
    assert found["fault"] == ""


def test_what_was_erased_is_not_printed(pack):
    FrozenPack.objects.filter(pk=pack.pk).update(personal=None)
    assert print_frozen(pack.digest) == ""
    assert "erased" in str(printed_again(pack.digest)["fault"])

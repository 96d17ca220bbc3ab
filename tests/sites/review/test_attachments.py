"""Attaching and taking out."""

import hashlib

import pytest

from sites.house import storage
from sites.house.models import Event
from sites.house.refusals import RefusedError
from sites.house.uploads import Upload, examine
from sites.review.models import Attachment
from sites.review.writing import attachments
from sites.review.writing.attachments import add_attachment, take_out_attachment
from sites.review.writing.verdicts import enter_agreement
from tests.sites.review.making import acts, capped, make_pdf, seen_of


@pytest.fixture
def sheet():
    return examine(name="data sheet.pdf", content=make_pdf(pages=2), title="Data sheet")


def test_a_file_is_attached_and_stored_under_its_digest(plain, office, sheet, store):
    before = plain.application.version
    attachment = add_attachment(case=plain, upload=sheet, by=office)
    assert attachment.sha256 == hashlib.sha256(sheet.content).hexdigest()
    assert storage.stored(attachment.sha256) == sheet.content
    assert (attachment.name, attachment.title, attachment.pages) == (
        "data sheet.pdf",
        "Data sheet",
        2,
    )
    assert [path.name for path in store.glob("*/*")] == [attachment.sha256]
    assert acts(plain) == ["attachment.added"]
    plain.application.refresh_from_db()
    assert plain.application.version == before + 1


def test_the_event_names_no_file_by_what_somebody_called_it(plain, office, sheet):
    add_attachment(case=plain, upload=sheet, by=office)
    event = Event.objects.get(subject_key=plain.application.key)
    assert "data sheet" not in str(event.data)
    assert event.data["size_bytes"] == len(sheet.content)


def test_the_same_file_twice_is_one(plain, office, sheet):
    first = add_attachment(case=plain, upload=sheet, by=office)
    second = add_attachment(case=plain, upload=sheet, by=office)
    assert first == second
    assert acts(plain) == ["attachment.added"]


def test_taken_out_it_is_hidden_and_its_bytes_stay(plain, office, sheet):
    attachment = add_attachment(case=plain, upload=sheet, by=office)
    take_out_attachment(attachment=attachment, by=office)
    take_out_attachment(attachment=attachment, by=office)  # a second click
    attachment.refresh_from_db()
    assert attachment.taken_out_at is not None
    assert storage.stored(attachment.sha256) == sheet.content
    assert acts(plain) == ["attachment.added", "attachment.taken-out"]


def test_attached_again_after_taking_out_it_is_a_new_row(plain, office, sheet):
    first = add_attachment(case=plain, upload=sheet, by=office)
    take_out_attachment(attachment=first, by=office)
    assert add_attachment(case=plain, upload=sheet, by=office) != first


def test_an_agreement_that_a_decision_rests_on_stays(engineer, sheet):
    case = capped()
    attachment = add_attachment(case=case, upload=sheet, by=engineer)
    enter_agreement(
        case=case,
        seen=seen_of(case, "export-above-cap"),
        reference="OP-1",
        date=attachment.added_at.date(),
        file=attachment,
        reason="It agreed to 7.2 kW.",
        by=engineer,
    )
    with pytest.raises(RefusedError, match="it stays"):
        take_out_attachment(attachment=attachment, by=engineer)
    attachment.refresh_from_db()
    assert attachment.taken_out_at is None


def test_a_line_carries_so_many_files_and_no_more(plain, office, monkeypatch):
    monkeypatch.setattr(attachments, "MOST_FILES", 2)
    for n in range(2):
        add_attachment(case=plain, upload=_upload(n), by=office)
    with pytest.raises(RefusedError, match="Take one out first"):
        add_attachment(case=plain, upload=_upload(3), by=office)
    assert Attachment.objects.count() == 2


def test_a_line_carries_so_many_bytes_and_no_more(plain, office, monkeypatch):
    monkeypatch.setattr(attachments, "MOST_BYTES_OF_A_LINE", 150)
    add_attachment(case=plain, upload=_upload(1), by=office)
    with pytest.raises(RefusedError, match="Take one out first"):
        add_attachment(case=plain, upload=_upload(2), by=office)


def _upload(number: int) -> Upload:
    return Upload(f"{number}.pdf", "", "application/pdf", bytes([number]) * 100, 1)

"""What is sent by hand and by mail: once, as frozen, and what becomes of the case."""

import datetime as dt
import io
import uuid
import zipfile
from email import message_from_bytes, policy

import pytest
from django.core.management import call_command
from django.db import IntegrityError, transaction
from django.utils import timezone

from sites.house import storage
from sites.house.models import Event
from sites.house.refusals import NotAllowedError, RefusedError
from sites.packs.writing.erasing import erase_personal_parts
from sites.sending.models import Dispatch, Recipient
from sites.sending.reading.operators import operator_of
from sites.sending.reading.outbox import to_send
from sites.sending.writing.delivering import deliver
from sites.sending.writing.sending import (
    came_back,
    note_by_hand,
    queue_mail,
    send_again,
    settle,
)
from tests.sites.cases.test_writing import fresh
from tests.sites.making import make_attachment, make_dispatch, make_person

pytestmark = pytest.mark.django_db


def upload(case, by, **more):
    today = timezone.localdate()
    given = {"way": "portal", "sent_on": today, "sent_by": by, "key": uuid.uuid4(), "by": by}
    return note_by_hand(case=case, pack=case.application.packs.get(), **{**given, **more})


def mail(case, by, **more):
    given = {
        "key": uuid.uuid4(),
        "operator": to_send(case).operator,
        "recipient": "desk@operator.example",
        "subject": "INV-1: application",
        "words": "Please find it here.\nRegards – Ann\n.\n",
        "by": by,
    }
    return queue_mail(case=case, pack=case.application.packs.get(), **{**given, **more})


def test_uploaded_by_hand_moves_the_case_and_says_by_whom_and_when(case, office):
    other, day = make_person("office"), timezone.localdate()
    row = upload(case, office, sent_by=other, reference=" OP-77 ")
    assert (row.reference, row.sent_by, row.sent_on) == ("OP-77", other, day)
    move = case.moves.last()
    assert (move.act, move.to_state, move.on, move.by) == ("send", "sent", day, office)
    event = Event.objects.filter(act="dispatch.accepted").get()
    assert event.actor_key == office.key
    assert event.data["way"] == "portal"


def test_a_form_sent_twice_is_one_dispatch_and_the_same_pack_goes_again_only_if_said(case, office):
    first = upload(case, office)
    assert upload(case, office, key=first.key) == first
    with pytest.raises(RefusedError, match="sent already") as refused:
        upload(fresh(case), office)
    assert refused.value.field == "again"
    upload(fresh(case), office, again=True)
    assert Dispatch.objects.count() == 2
    assert case.moves.filter(act="send").count() == 1


@pytest.mark.parametrize(("days", "says"), [(1, "lies ahead"), (-1, "later than this")])
def test_a_day_ahead_or_before_the_issue_is_refused(case, office, days, says):
    with pytest.raises(RefusedError, match=says) as refused:
        upload(case, office, sent_on=timezone.localdate() + dt.timedelta(days=days))
    assert refused.value.field == "sent_on"


def test_installers_send_nothing_and_nothing_goes_without_a_pack(case, plain, office):
    with pytest.raises(NotAllowedError):
        upload(case, make_person("installer"))
    assert not to_send(case).refusal


def test_what_is_wanted_and_missing_is_listed_until_it_is_attached(case, office):
    """A short application: the step asks for the diagram, which is in the pack; the signed papers
    are common practice."""
    page = to_send(case)
    assert {paper.says for paper in page.missing} == {
        "Letter of authority, signed by the customer",
        "Consent of the owner, signed",
    }
    assert ("Single-line diagram", "in the pack") in [(p.says, p.there) for p in page.papers]
    attachment = make_attachment(case, by=office)
    type(attachment).objects.filter(pk=attachment.pk).update(kind="consent")
    missing = {paper.says for paper in to_send(case).missing}
    assert missing == {"Letter of authority, signed by the customer"}


def test_a_mail_arrives_byte_for_byte_as_frozen(case, pack, office, server):
    """Against aiosmtpd: what the server took is what was frozen; the pack in it is the print."""
    attached = make_attachment(case, by=office)
    row = mail(case, office, files=[attached])
    assert (row.state, fresh(case).state) == ("queued", "ready-to-send")
    frozen = storage.stored(row.content_sha256)
    assert deliver(str(row.key)) == "accepted"
    (taken,) = server
    assert taken.content == frozen
    assert (taken.sender, taken.to) == ("office@firm.example", ["desk@operator.example"])
    read = message_from_bytes(taken.content, policy=policy.default)
    assert read["Message-ID"] == row.message_id
    printed, other = read.iter_attachments()
    assert printed.get_content() == storage.stored(pack.pdf_sha256)
    assert other.get_content() == storage.stored(attached.sha256)
    body = read.get_body()
    assert body is not None
    assert "Regards – Ann" in body.get_content()
    assert fresh(case).state == "sent"
    assert Recipient.objects.get().address == to_send(case).address == "desk@operator.example"


def test_the_worker_sends_once_however_often_it_is_asked(case, office, server):
    row = mail(case, office)
    assert [deliver(str(row.key)) for _ in range(3)] == ["accepted"] * 3
    assert len(server) == 1
    assert row.attempts.count() == 1


@pytest.mark.parametrize(
    ("recipient", "state", "answer", "taken"),
    [
        ("nobody@operator.example", "failed", "550 5.1.1 no such mailbox", 0),
        ("full@operator.example", "failed", "452 4.2.2 mailbox full", 1),
        ("breaks@operator.example", "unknown", "broke off", 1),
    ],
)
def test_how_the_server_ends_it_is_shown(case, office, server, recipient, state, answer, taken):
    row = mail(case, office, recipient=recipient)
    assert deliver(str(row.key)) == state
    row.refresh_from_db()
    assert answer in row.fault
    assert len(server) == taken
    assert fresh(case).state == "ready-to-send"
    assert deliver(str(row.key)) == state
    assert len(server) == taken


def test_without_a_server_it_fails_and_the_same_mail_can_be_tried_again(
    case, office, server, settings
):
    port, settings.EMAIL_PORT = settings.EMAIL_PORT, 1
    row = mail(case, office)
    assert deliver(str(row.key)) == "failed"
    settings.EMAIL_PORT = port
    send_again(dispatch=row, by=office)
    assert deliver(str(row.key)) == "accepted"
    assert [attempt.state for attempt in row.attempts.all()] == ["failed", "accepted"]
    with pytest.raises(RefusedError, match="sent already"):
        send_again(dispatch=row, by=office)


def test_a_worker_that_stopped_while_sending_leaves_it_unknown_until_a_person_knows(
    case, office, server
):
    row = mail(case, office)
    Dispatch.objects.filter(pk=row.pk).update(state="sending")
    assert deliver(str(row.key)) == "unknown"
    assert server == []
    row.refresh_from_db()
    with pytest.raises(RefusedError, match="sent already"):
        send_again(dispatch=row, by=office)
    with pytest.raises(RefusedError) as refused:
        mail(fresh(case), office)
    assert refused.value.field == "again"
    settle(dispatch=row, arrived=True, says="The operator has it.", by=office)
    assert fresh(case).state == "sent"
    with pytest.raises(RefusedError, match="known already"):
        settle(dispatch=row, arrived=False, says="No.", by=office)


def test_what_came_back_takes_the_case_back(case, office, server):
    row = mail(case, office)
    deliver(str(row.key))
    came_back(dispatch=row, says="Mailbox unknown, says the postmaster.", by=office)
    row.refresh_from_db()
    assert (row.state, fresh(case).state) == ("failed", "ready-to-send")
    assert case.moves.last().reason == row.fault
    # It was handed over once: the same mail does not go again by itself or by a button.
    with pytest.raises(RefusedError, match="clearly refused"):
        send_again(dispatch=row, by=office)


BREAKS = ["\r\nBcc: all@home.example", "\nX: 1", "\x85", "\u2028", "\0"]


@pytest.mark.parametrize("broken", BREAKS)
@pytest.mark.parametrize("box", ["subject", "recipient"])
def test_a_head_of_more_than_one_line_is_refused(case, office, server, box, broken):
    start = {"subject": "INV-1", "recipient": "desk@operator.example"}[box]
    with pytest.raises(RefusedError) as refused:
        mail(case, office, **{box: start + broken})
    assert refused.value.field == box
    assert (Dispatch.objects.count(), server) == (0, [])


@pytest.mark.parametrize(
    "recipient", ["", "desk", "a@b@c.example", "büro@operator.example", "a@x.example, b@x.example"]
)
def test_what_is_no_address_is_refused(case, office, server, recipient):
    with pytest.raises(RefusedError, match="no e-mail address"):
        mail(case, office, recipient=recipient)


def test_two_mails_of_one_pack_are_never_in_flight(case, pack, office):
    make_dispatch(pack, by=office, way="mail", state="queued", sent_on=None)
    with pytest.raises(IntegrityError), transaction.atomic():
        make_dispatch(pack, by=office, way="mail", state="sending", sent_on=None)


def test_a_zip_holds_the_pack_the_files_and_the_words(case, pack, office):
    attached = make_attachment(case, by=office)
    row = upload(case, office, way="zip", words="Dear all", files=[attached])
    with zipfile.ZipFile(io.BytesIO(storage.stored(row.content_sha256))) as whole:
        found = {name: whole.read(name) for name in whole.namelist()}
    assert found.pop("covering words.txt") == b"Dear all"
    assert set(found.values()) == {
        storage.stored(pack.pdf_sha256),
        storage.stored(attached.sha256),
    }


def test_erasing_reaches_what_was_sent_and_what_waits(case, engineer, office, server):
    """Of a mail that waits nothing goes out any more."""
    row = mail(case, office)
    case.declared_by = "Invented Fitter"
    case.save(update_fields=["declared_by"])
    with pytest.MonkeyPatch.context() as now:
        now.setattr("django.db.transaction.on_commit", lambda act, *_a, **_k: act())
        erase_personal_parts(application=case.application, by=engineer)
    assert not storage.path_of(row.content_sha256).exists()
    row.refresh_from_db()
    assert (row.content_sha256, row.subject, row.words, row.files) == ("", "", "", [])
    assert fresh(case).declared_by == ""
    assert (deliver(str(row.key)), server) == ("failed", [])


@pytest.mark.django_db(transaction=True)
def test_the_worker_takes_a_queued_mail(case, office, server):
    mail(case, office)
    call_command("db_worker", batch=True, startup_delay=False, verbosity=0, reload=False)
    assert Dispatch.objects.get().state == "accepted"
    assert len(server) == 1


def test_areas_of_one_operator_have_one_address():
    """The shipped layers of the Midlands name four areas; an area without a layer is its own. Some
    layers name gb-18 with gb-13, others with gb-17: three keys, for it is not told which is whose.
    """
    assert {operator_of(area) for area in ("gb-11", "gb-14", "gb-21", "gb-22")} == {"gb-11"}
    assert len({operator_of(area) for area in ("gb-13", "gb-17", "gb-18")}) == 3
    assert operator_of("") == ""

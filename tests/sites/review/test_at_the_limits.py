"""Acts of the review at the limits of what is taken, and the versions that they raise."""

import datetime as dt

import pytest
from django.utils import timezone

from sites.house.refusals import FactsChangedError, RefusedError
from sites.house.uploads import Upload
from sites.premises.models import Unit
from sites.review.models import Attachment, Question
from sites.review.writing import attachments
from sites.review.writing.attachments import add_attachment, take_out_attachment
from sites.review.writing.replies import take_back_reply
from sites.review.writing.verdicts import LONGEST_TEXT, ask_office, decide_finding
from tests.sites.making import make_attachment, make_reply
from tests.sites.review.making import acts, seen_of


def versions(case):
    """Of the application and of the premises: a pack and a sheet that are open look at them."""
    case.application.refresh_from_db()
    case.premises.refresh_from_db()
    return case.application.version, case.premises.version


def test_files_may_weigh_all_that_a_pack_carries(plain, office, monkeypatch):
    monkeypatch.setattr(attachments, "MOST_BYTES_OF_A_LINE", 200)
    for name in ("a", "b"):
        upload = Upload(f"{name}.pdf", "", "application/pdf", name.encode() * 100, 1)
        add_attachment(case=plain, upload=upload, by=office)
    assert Attachment.objects.count() == 2


def test_a_file_taken_out_leaves_no_open_preview_as_it_was(plain, office):
    attachment = make_attachment(plain, by=office)
    application, premises = versions(plain)
    take_out_attachment(attachment=attachment, by=office)
    assert versions(plain) == (application + 1, premises)


def test_an_answer_may_hold_on_the_day_it_came_alone(plain, office):
    today = timezone.localdate()
    reply = make_reply(plain, by=office, received_on=today, valid_until=today)
    assert reply.valid_until == today


def test_an_answer_leaves_no_open_preview_or_sheet_as_it_was(plain, office):
    application, premises = versions(plain)
    condition = make_reply(plain, by=office)
    assert versions(plain) == (application + 1, premises)
    cap = make_reply(
        plain, by=office, kind="cap-export", written="3 kW", value=3000, basis="w_total"
    )
    assert versions(plain) == (application + 2, premises + 1)
    take_back_reply(reply=condition, by=office)
    assert versions(plain) == (application + 3, premises + 1)
    take_back_reply(reply=cap, by=office)
    assert versions(plain) == (application + 4, premises + 2)


def test_a_reason_may_be_as_long_as_is_said(flagged, engineer):
    verdict = decide_finding(
        case=flagged, seen=seen_of(flagged, "can-island"), reason="x" * 4000, by=engineer
    )
    assert len(verdict.reason) == LONGEST_TEXT == 4000


def test_no_question_is_asked_on_facts_that_changed_since(flagged, engineer):
    seen = seen_of(flagged, "can-island")
    battery = Unit.objects.filter(premises=flagged.premises, label="bat-1")
    for now in (None, False):  # other facts, then no finding any more
        battery.update(can_island=now)
        with pytest.raises(FactsChangedError):
            ask_office(case=flagged, seen=seen, text="Is the switch fitted?", by=engineer)
    assert not Question.objects.exists()
    assert acts(flagged) == []


def test_an_answer_of_tomorrow_is_none(plain, office):
    tomorrow = timezone.localdate() + dt.timedelta(days=1)
    with pytest.raises(RefusedError) as refused:
        make_reply(plain, by=office, received_on=tomorrow)
    assert refused.value.field == "received_on"

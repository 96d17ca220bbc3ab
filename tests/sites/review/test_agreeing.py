"""What follows on an answer: acceptance, charges, last days, and conditions that hold up acts."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from sites.house.refusals import RefusedError
from sites.review.models import Attachment, Condition, Reply
from sites.review.reading.attachments import files_of
from sites.review.writing.nightly import lapse_ended
from sites.review.writing.replies import accept_offer, take_back_reply
from tests.sites.cases.test_writing import fresh, go, install, issue
from tests.sites.making import home, make_premises, make_reply
from tests.sites.review.making import make_picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def on(monkeypatch):
    """Moves the clock to a moment in London."""

    def to(year: int, month: int, day: int, hour: int = 9, minute: int = 0) -> dt.date:
        moment = dt.datetime(year, month, day, hour, minute, tzinfo=ZoneInfo("Europe/London"))
        monkeypatch.setattr(timezone, "now", lambda: moment)
        return moment.date()

    return to


def sent(engineer, **changes):
    """A case with the operator."""
    case = make_premises(by=engineer, **changes)
    go(case, engineer, "to-engineer")
    issue(case, engineer)
    return go(case, engineer, "send", "start-clock")


def large() -> dict[str, object]:
    """16.1 kW on one phase are 70 A, above the 60 A of the short procedures: an offer follows."""
    units = home()["units"]
    units[0] |= {"rated_w": 12_500, "standard": "G99"}
    return {"units": units}


@pytest.mark.parametrize(
    ("kind", "more", "state"),
    [
        ("agreed", {}, "accepted"),
        ("condition", {"conditions": [("after", "Send a picture.")]}, "accepted"),
        ("offer", {"charge_pence": 124_050}, "offer-received"),
        ("study", {}, "clock-running"),
        ("wanted", {"words": "Which cable?"}, "information-wanted"),
        ("refused", {}, "refused"),
    ],
)
def test_an_answer_moves_the_case_and_taken_back_moves_it_back(engineer, kind, more, state):
    case = sent(engineer)
    reply = make_reply(case, by=engineer, kind=kind, **{"conditions": (), **more})
    assert fresh(case).state == state
    take_back_reply(reply=reply, by=engineer)
    assert fresh(case).state == "clock-running"


def test_an_agreement_under_the_short_form_is_an_offer_to_accept(engineer):
    case = make_premises(by=engineer, **large())
    assert fresh(case).kept.procedure == "g99-short"
    go(case, engineer, "to-engineer")
    type(case).objects.filter(pk=case.pk).update(state="clock-running", way="application")
    make_reply(case, by=engineer, kind="agreed", conditions=())
    assert fresh(case).state == "offer-received"


def test_conditions_hold_up_the_act_that_they_stand_before(client, engineer):
    case = sent(engineer)
    client.force_login(engineer)
    boxes = {
        "kind": "condition",
        "received_on": timezone.localdate().isoformat(),
        "before_install": "Change the cut-out.",
        "before_energising": "Tell us a week before.\n\nFit a label.",
        "after": "Send a picture.",
    }
    page = reverse("case-answers", args=[case.key])
    assert client.post(page, boxes).status_code == 302
    first, notice, label, last = Condition.objects.all()
    with pytest.raises(RefusedError, match="sets before installing, met"):
        go(case, engineer, "book")
    meet(client, first)
    go(case, engineer, "book")
    with pytest.raises(RefusedError, match="sets before energising, met"):
        install(case, engineer, timezone.localdate())
    meet(client, notice)
    with pytest.raises(RefusedError, match="sets before energising, met"):
        install(case, engineer, timezone.localdate())
    meet(client, label)
    assert install(case, engineer, timezone.localdate()).state == "commissioned"
    issue(case, engineer)
    go(case, engineer, "confirm")
    with pytest.raises(RefusedError, match="for after the work, met"):
        go(case, engineer, "complete")
    meet(client, last)
    meet(client, last, open="1")
    assert fresh(case).kept.open_after == 1
    meet(client, last)
    assert go(case, engineer, "complete").state == "completed"
    assert "Met on" in client.get(page).content.decode()


def meet(client, condition, **boxes):
    boxes = boxes or {"on": timezone.localdate().isoformat(), "note": "Seen."}
    address = reverse("condition-met", args=[condition.key])
    assert client.post(address, boxes).status_code == 302


def test_conditions_of_an_answer_taken_back_hold_up_nothing(engineer):
    case = sent(engineer)
    reply = make_reply(case, by=engineer, conditions=[("before-install", "Wait.")])
    assert fresh(case).kept.open_install == 1
    take_back_reply(reply=reply, by=engineer)
    assert fresh(case).kept.open_install == 0


def test_an_offer_is_accepted_by_its_last_day_and_paid(client, office, engineer, on):
    on(2027, 1, 4, 9)
    case = sent(engineer, on_date="2027-01-04", planned_on="2027-02-18")
    last = dt.date(2027, 1, 20)
    offer = make_reply(
        case, by=office, kind="offer", charge_pence=124_050, valid_until=last, conditions=()
    )
    kept = fresh(case).kept
    assert (kept.due_on, kept.due_says) == (last, "The offer ends")
    client.force_login(office)
    words = client.get(reverse("case-answers", args=[case.key])).content.decode()
    assert "It can be accepted until Wednesday 20 January 2027." in words
    assert "Charge: £1,240.50, not paid" in words
    on(2027, 1, 22, 9)
    client.force_login(office)
    boxes = {"on": "2027-01-21", "how": "The customer, by e-mail"}
    answer = client.post(reverse("answer-accept", args=[offer.key]), boxes)
    assert answer.status_code == 422
    assert "The offer ended on 20 January 2027." in answer.content.decode()
    # Accepted in time, entered late.
    boxes |= {"on": "2027-01-20", "agreed_until": "2027-07-20"}
    assert client.post(reverse("answer-accept", args=[offer.key]), boxes).status_code == 302
    kept = fresh(case).kept
    (ends,) = (each for each in kept.days if each["key"] == "answer-ends")
    assert (fresh(case).state, ends["on"]) == ("accepted", "2027-07-20")
    assert case.moves.last().reason == "The customer, by e-mail"
    client.post(reverse("answer-paid", args=[offer.key]), {"on": "2027-01-22"})
    assert Reply.objects.get().paid_on == dt.date(2027, 1, 22)


def test_nothing_that_stops_is_accepted(engineer):
    case = sent(engineer)
    offer = make_reply(
        case, by=engineer, kind="cap-export", written="3 kW", value=3000, basis="w_total",
        conditions=(),
    )  # fmt: skip
    with pytest.raises(RefusedError, match="Every stop cleared"):
        accept_offer(
            reply=offer, on=timezone.localdate(), how="By post", agreed_until=None, by=engineer
        )
    assert Reply.objects.get().accepted_on is None


def test_an_offer_lapses_on_the_day_after_its_last(engineer, on):
    on(2028, 2, 1, 9)
    case = sent(engineer, on_date="2028-02-01", planned_on="2028-05-18")
    make_reply(
        case, by=engineer, kind="offer", charge_pence=1, valid_until=dt.date(2028, 2, 29),
        conditions=(),
    )  # fmt: skip
    on(2028, 2, 29, 23, 59)
    assert lapse_ended() == "0 offers or agreements lapsed."
    on(2028, 3, 1, 0, 1)
    assert lapse_ended() == "1 offer or agreement lapsed."
    assert fresh(case).state == "lapsed"
    assert case.moves.last().reason == "The last day of the offer was 29 February 2028."
    assert go(case, engineer, "undo").state == "offer-received"


def test_no_answer_after_its_day_is_said_to_be_no_agreement(client, engineer, on):
    # Ten working days after Monday 14 December 2026: four to the 18th, four to the 24th, then the
    # 29th and 30th; the 25th is a bank holiday, and the 28th stands in for Saturday the 26th.
    on(2026, 12, 14, 9)
    case = sent(engineer, on_date="2026-12-14")
    assert fresh(case).kept.due_on == dt.date(2026, 12, 30)
    said = "No answer is no agreement"
    for address in ("case-answers", "premises"):
        key = case.key if address == "case-answers" else case.premises.key
        on(2026, 12, 30, 23, 59)
        client.force_login(engineer)
        assert said not in client.get(reverse(address, args=[key])).content.decode()
        on(2026, 12, 31, 0, 1)
        client.force_login(engineer)
        assert said in client.get(reverse(address, args=[key])).content.decode()


def test_the_letter_is_kept_and_no_pack_carries_it(client, office, engineer, store):
    case = sent(engineer)
    client.force_login(office)
    photograph = SimpleUploadedFile("letter.png", make_picture(), "image/png")
    boxes = {"received_on": timezone.localdate().isoformat(), "file": photograph}
    page = reverse("case-answers", args=[case.key])
    refused = client.post(page, {**boxes, "kind": ""})
    assert "Choose the file again" in refused.content.decode()
    photograph.seek(0)
    assert client.post(page, {**boxes, "kind": "agreed"}).status_code == 302
    letter = Attachment.objects.get(case=case)
    assert Reply.objects.get().file == letter
    assert list(files_of(case)) == []
    assert "letter.png" in client.get(page).content.decode()
    assert client.get(reverse("attachment", args=[letter.key])).getvalue()

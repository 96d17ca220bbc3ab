"""Days of cases with the clock moved: rules, the page, the calendar and the morning mail."""

import datetime as dt
import hashlib
from zoneinfo import ZoneInfo

import icalendar
import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from sites.cases.models import Case
from sites.days.models import CalendarAddress
from sites.days.writing import make_address, send_morning_mails
from sites.house.models import Event
from sites.people.models import Person
from sites.review.writing.kept import renew
from sites.review.writing.works import change_works
from tests.sites.cases.test_writing import fresh, go, install, issue
from tests.sites.making import make_conversation, make_person, make_premises, make_reply, make_works
from tests.sites.review.making import small

pytestmark = pytest.mark.django_db
LONDON = ZoneInfo("Europe/London")


@pytest.fixture
def on(monkeypatch):
    """Moves the clock to a moment in London."""

    def to(year: int, month: int, day: int, hour: int = 9, minute: int = 0) -> dt.date:
        moment = dt.datetime(year, month, day, hour, minute, tzinfo=LONDON)
        monkeypatch.setattr(timezone, "now", lambda: moment.astimezone(dt.UTC))
        return moment.date()

    return to


def sent(engineer, day: dt.date, **changes) -> Case:
    """A case that was sent on a day."""
    case = make_premises(by=engineer, on_date=str(day), **changes)
    go(case, engineer, "to-engineer")
    issue(case, engineer)
    return go(case, engineer, "send", "start-clock")


def days(case) -> dict[str, str]:
    return {each["key"]: each["on"] for each in fresh(case).kept.days}


# EREC G99 Issue 2, clauses 6.2.2.3 and 6.2.2.4: an answer within ten working days of submission,
# and commissioning at most three months after it. Bank holidays of England as published by the
# government: 25 and 28 December 2026, 1 January, 26 and 29 March 2027, 14 and 17 April 2028.
@pytest.mark.parametrize(
    ("moment", "answer", "window"),
    [
        # Four working days to Thursday 24 December, then 29, 30, 31 and 4, 5, 6 January.
        ((2026, 12, 18), "2027-01-06", "2027-03-18"),
        # The clock went forward on Sunday 28 March, so it is still the 29th in UTC: the 31st, then
        # the 1st and 2nd, five days to the 9th, the 12th and 13th of April.
        ((2027, 3, 30, 0, 30), "2027-04-13", "2027-06-30"),
        # The clock goes back this Sunday night, and it is still Saturday in UTC: ten working days
        # of the two weeks that follow.
        ((2027, 10, 31, 0, 30), "2027-11-12", "2028-01-31"),
        # A leap day is a working day like another; three months after 29 February is 29 May.
        ((2028, 2, 18), "2028-03-03", "2028-05-18"),
        ((2028, 2, 29), "2028-03-14", "2028-05-29"),
        # No 31 February: the last day of the shorter month.
        ((2027, 11, 30), "2027-12-14", "2028-02-29"),
    ],
)
def test_the_answer_and_the_window_are_counted_from_the_sending(
    engineer, on, moment, answer, window
):
    day = on(*moment)
    case = sent(engineer, day, planned_on=str(day + dt.timedelta(days=60)))
    assert (days(case)["answer"], days(case)["window"]) == (answer, window)
    kept = fresh(case).kept
    assert kept.due_on == dt.date.fromisoformat(answer)
    (told,) = (each for each in kept.days if each["key"] == "answer")
    assert told["rule"].startswith("10 working days after the application was complete (")
    assert told["rule"].endswith("without the bank holidays of England.")
    assert "6.2.2.3" in told["source"]


def test_the_last_day_to_send_falls_before_the_window(engineer, on):
    # Ten working days back from Monday 18 January 2027, over New Year's Day: 15 to 11 are five,
    # 8 to 4 five more.
    day = on(2026, 12, 7)
    case = make_premises(by=engineer, on_date=str(day), planned_on="2027-01-18")
    assert days(case)["send"] == "2027-01-04"


def test_work_done_is_told_within_28_days_over_a_leap_day(engineer, on):
    day = on(2028, 2, 14, 9)
    case = small()
    go(case, engineer, "clear")
    install(case, engineer, day)
    # EREC G98: 28 days; 14 February and 28 days, one of them the 29th.
    assert fresh(case).kept.due_on == dt.date(2028, 3, 13)


def test_works_have_their_day_and_block_energising_until_done(client, engineer, on):
    on(2027, 2, 1)
    client.force_login(engineer)
    case = sent(engineer, dt.date(2027, 2, 1), planned_on="2027-03-01")
    boxes = {"kind": "fuse", "asked_on": "2027-02-01"}
    page = reverse("case-works", args=[case.key])
    assert client.post(page, {**boxes, "kind": "other"}).status_code == 422
    assert client.post(page, boxes).status_code == 302
    job = case.works.get()
    make_reply(case, by=engineer, kind="agreed", conditions=())
    assert fresh(case).state == "waiting-for-works"
    address = reverse("works-days", args=[job.key])
    client.post(address, {"planned_on": "2027-02-15"})
    assert days(case)[f"works-{job.key}"] == "2027-02-15"
    change_works(works=job, planned_on=dt.date(2027, 2, 22), done_on=None, by=engineer)
    # What moves a day stands in the log.
    told = Event.objects.get(act="day.moved")
    assert told.data == {
        "day": "Network works: Change of the cut-out fuse",
        "from": "2027-02-15",
        "to": "2027-02-22",
    }
    go(case, engineer, "book")
    with pytest.raises(Exception, match="The network works, done"):
        install(case, engineer, dt.date(2027, 2, 1))
    answer = client.post(address, {"planned_on": "2027-02-22", "done_on": "2027-02-02"})
    assert "This day lies ahead" in answer.content.decode()
    on(2027, 2, 22)
    client.force_login(engineer)
    client.post(address, {"planned_on": "2027-02-22", "done_on": "2027-02-22"})
    assert install(case, engineer, dt.date(2027, 2, 22)).state == "commissioned"


def test_a_case_that_waits_for_works_is_accepted_once_none_is_open(engineer):
    case = sent(engineer, timezone.localdate())
    job = make_works(case, by=engineer)
    make_reply(case, by=engineer, kind="agreed", conditions=())
    assert fresh(case).kept.next_step == "wait-for-works"
    change_works(works=job, planned_on=None, done_on=timezone.localdate(), by=engineer)
    assert fresh(case).state == "accepted"


def test_the_page_has_what_is_overdue_first_and_only_ones_own(client, office, engineer, on):
    on(2027, 2, 1)
    mine = make_premises(by=office, on_date="2027-02-01", planned_on="2027-03-01")
    other = make_premises(by=engineer, on_date="2027-02-01", planned_on="2027-02-08")
    on(2027, 2, 20)
    client.force_login(office)
    words = client.get(reverse("days")).content.decode()
    # Ten working days back from Monday 1 March are Monday 15 February.
    assert words.index("Overdue") < words.index("5 days late") < words.index("Later")
    assert other.application.reference not in words
    assert other.application.reference in client.get(reverse("days") + "?all").content.decode()
    with_installer = make_person("installer")
    Case.objects.filter(pk=mine.pk).update(installer=with_installer)
    client.force_login(with_installer)
    words = client.get(reverse("days") + "?all").content.decode()
    assert mine.application.reference in words
    assert other.application.reference not in words


def test_a_letter_or_call_to_be_chased_has_its_day_and_names_nobody(client, office, on):
    on(2027, 2, 1)
    case = make_premises(by=office, on_date="2027-02-01", planned_on="2027-03-01")
    make_conversation(case, by=office, with_whom="Invented Planner", chase_on=dt.date(2027, 2, 3))
    feed = client.get(reverse("calendar-feed", args=[make_address(by=office)])).content
    assert b"DTSTART;VALUE=DATE:20270203" in feed
    assert b"Ask again" in feed
    assert b"Planner" not in feed


@pytest.mark.parametrize("count", [1, 6])
def test_queries_do_not_grow_with_cases(client, office, count, django_assert_max_num_queries):
    for _ in range(count):
        make_premises(by=office)
    client.force_login(office)
    with django_assert_max_num_queries(7):
        client.get(reverse("days"))


def read(content: bytes) -> list[dict[str, str]]:
    """The events of a calendar by RFC 5545 alone: unfold (3.1), split at the first colon, take the
    parameters off the name, undo the escapes of text (3.3.11)."""
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))
    assert b"\n" not in content.replace(b"\r\n", b"")
    events: list[dict[str, str]] = []
    inside = False
    for line in content.replace(b"\r\n ", b"").decode().split("\r\n"):
        name, _, value = line.partition(":")
        if (name, value) == ("BEGIN", "VEVENT"):
            inside = True
            events.append({})
        elif (name, value) == ("END", "VEVENT"):
            inside = False
        elif inside:
            for escaped, plain in (("\\n", "\n"), ("\\,", ","), ("\\;", ";"), ("\\\\", "\\")):
                value = value.replace(escaped, plain)
            events[-1][name] = value
    return events


def test_two_readers_read_the_same_days_of_the_calendar(client, office, on):
    on(2027, 10, 25)
    case = make_premises(by=office, on_date="2027-10-25", planned_on="2028-02-29")
    token = make_address(by=office)
    answer = client.get(reverse("calendar-feed", args=[token]))
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert "no-store" in answer["Cache-Control"]
    apart = read(answer.content)
    events = icalendar.Calendar.from_ical(answer.content).walk("VEVENT")
    assert len(apart) == len(events) == len(fresh(case).kept.days)
    for plain, event in zip(apart, events, strict=True):
        assert plain["UID"] == event["UID"]
        assert plain["SUMMARY"] == event["SUMMARY"]
        assert plain["DESCRIPTION"] == event["DESCRIPTION"]
        assert plain["DTSTART;VALUE=DATE"] == f"{event.decoded('DTSTART'):%Y%m%d}"
        # The end of whole days is the day after (RFC 5545, 3.6.1).
        assert event.decoded("DTEND") - event.decoded("DTSTART") == dt.timedelta(days=1)
    assert {plain["DTSTART;VALUE=DATE"] for plain in apart} >= {"20280229"}
    assert b"Reedcutter" not in answer.content
    assert b"Invented Customer" not in answer.content


def test_a_day_keeps_its_uid_when_its_date_moves(client, office, on):
    on(2027, 1, 4)
    case = make_premises(by=office, on_date="2027-01-04", planned_on="2027-03-01")
    feed = reverse("calendar-feed", args=[make_address(by=office)])
    was = {each["UID"]: each["DTSTART;VALUE=DATE"] for each in read(client.get(feed).content)}
    type(case.premises).objects.filter(pk=case.premises.pk).update(planned_on="2027-03-08")
    renew(fresh(case))
    now = {each["UID"]: each["DTSTART;VALUE=DATE"] for each in read(client.get(feed).content)}
    assert was.keys() == now.keys()
    assert was != now


def test_only_the_newest_address_of_somebody_who_works_here_opens(client, office):
    first, token = make_address(by=office), make_address(by=office)
    row = CalendarAddress.objects.get()
    assert row.token_sha256 == hashlib.sha256(token.encode()).hexdigest()
    assert token not in str(CalendarAddress.objects.values())
    wrong = (first, token[:-1], token[:8], "x", token.swapcase())
    for each in wrong:
        assert client.get(reverse("calendar-feed", args=[each])).status_code == 404
    feed = reverse("calendar-feed", args=[token])
    assert client.post(feed).status_code == 405
    assert client.get(feed).status_code == 200
    row.refresh_from_db()
    assert row.used_on == timezone.localdate()
    Person.objects.filter(pk=office.pk).update(is_active=False)
    assert client.get(feed).status_code == 404


def test_an_address_is_shown_once_and_can_be_ended(client, office):
    client.force_login(office)
    words = client.post(reverse("calendar-address")).content.decode()
    assert ".ics" in words
    assert ".ics" not in client.get(reverse("days")).content.decode()
    client.post(reverse("calendar-address"), {"end": "1"})
    assert not CalendarAddress.objects.exists()


def test_one_mail_a_morning_on_working_days_to_who_wants_it(client, office, engineer, on, settings):
    on(2027, 3, 22)
    make_premises(by=office, on_date="2027-03-22", planned_on="2027-04-06")
    make_premises(by=engineer, on_date="2027-03-22", planned_on="2027-09-01")
    assert send_morning_mails() == "No mail server is set up."
    settings.MAIL_IS_SET_UP = True
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    # Good Friday, 26 March 2027.
    on(2027, 3, 26)
    assert send_morning_mails() == "Today is no working day."
    on(2027, 3, 31)
    assert send_morning_mails() == "1 mail sent."
    assert send_morning_mails() == "0 mails sent."
    (letter,) = mail.outbox
    assert letter.to == [office.email]
    # Ten working days back from Tuesday 6 April: the 5th, 2nd, 1st, 31st, 30th, and without Easter
    # Monday and Good Friday the 25th to 22nd and the 19th.
    assert letter.subject == "Meterside: 1 overdue, 1 in the next seven days"
    assert "- Fri 19 March: " in letter.body
    assert "- Tue 6 April: " in letter.body
    client.force_login(office)
    client.post(reverse("morning-mail"))
    on(2027, 4, 1)
    assert send_morning_mails() == "0 mails sent."

"""Pages of sending: what they say, keep and refuse."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone

from sites.sending.models import Dispatch
from tests.sites.cases.test_writing import fresh
from tests.sites.making import make_dispatch

pytestmark = pytest.mark.django_db


def hidden(answer, prefix, name):
    """The value of a hidden box of the page."""
    found = re.search(
        rf'name="{name}" value="([^"]+)" id="{prefix}-{name}"', answer.content.decode()
    )
    assert found
    return found[1]


def of_page(answer, prefix):
    return {name: hidden(answer, prefix, name) for name in ("key", "pack")}


def test_uploaded_is_entered_once_and_the_case_says_sent(case, by_office, office, words):
    address = reverse("case-send", args=[case.key])
    page = by_office.get(address)
    assert "What the procedure wants and is missing" in words(page)
    typed = {**of_page(page, "portal"), "way": "portal", "sent_by": office.pk}
    refused = by_office.post(address, {**typed, "sent_on": "tomorrow", "reference": "OP-9"})
    assert refused.status_code == 422
    assert "Give the date as day, month and year" in words(refused)
    assert 'value="OP-9"' in refused.content.decode()
    typed |= {"sent_on": f"{timezone.localdate():%d/%m/%Y}", "reference": "OP-9"}
    for _ in range(2):
        assert by_office.post(address, typed).status_code == 302
    assert Dispatch.objects.get().reference == "OP-9"
    after = words(by_office.get(reverse("premises", args=[case.premises.key])))
    assert "Sent" in after
    assert "The operator’s answer, not before" in after
    assert "The operator acknowledged it" in after


def test_a_mail_is_shown_before_it_is_sent_and_sent_as_shown(case, by_office, server, words):
    address = reverse("case-send-mail", args=[case.key])
    typed = of_page(by_office.get(reverse("case-send", args=[case.key])), "mail")
    typed |= {"recipient": "desk@operator.example", "subject": "INV", "words": "As agreed."}
    shown = by_office.post(address, {**typed, "step": "show"})
    assert shown.status_code == 200
    assert "The mail as it goes out" in words(shown)
    assert Dispatch.objects.count() == 0
    (seen,) = re.findall(r'name="seen" value="([0-9a-f]{64})"', shown.content.decode())
    # Words that were changed after they were shown are shown again first.
    other = by_office.post(address, {**typed, "words": "Other.", "step": "send", "seen": seen})
    assert other.status_code == 200
    assert Dispatch.objects.count() == 0
    assert by_office.post(address, {**typed, "step": "send", "seen": seen}).status_code == 302
    assert Dispatch.objects.get().words == "As agreed."


def test_a_broken_head_is_refused_at_its_box(case, by_office, server, words):
    address = reverse("case-send-mail", args=[case.key])
    typed = of_page(by_office.get(reverse("case-send", args=[case.key])), "mail")
    typed |= {"recipient": "desk@operator.example", "words": "x", "step": "show"}
    answer = by_office.post(address, {**typed, "subject": "INV\r\nBcc: all@home.example"})
    assert answer.status_code == 422
    assert "without breaks" in words(answer)


def test_trouble_stands_on_the_case(case, pack, by_office, office, words):
    make_dispatch(pack, by=office, way="mail", state="unknown", fault="Stopped.", sent_on=None)
    page = words(by_office.get(reverse("premises", args=[case.premises.key])))
    assert "It is not known whether this was sent" in page
    assert fresh(case).state == "ready-to-send"


def test_the_zip_is_a_download(case, by_office):
    page = by_office.get(reverse("case-send", args=[case.key]))
    answer = by_office.post(
        reverse("case-send-zip", args=[case.key]), {**of_page(page, "zip"), "words": "Dear all"}
    )
    assert answer["Content-Type"] == "application/zip"
    assert answer.content.startswith(b"PK")
    assert Dispatch.objects.count() == 0

"""From the issued pack to "I uploaded it" and the operator's acknowledgement, on a phone."""

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from sites.cases.writing import move
from sites.house import storage
from sites.packs.models import FrozenPack
from sites.sending.models import CopyTick, Dispatch
from tests.sites.making import make_pack, make_person, make_premises

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_uploaded_and_acknowledged_on_a_phone(window, axe):
    office, engineer = make_person(), make_person("engineer")
    case = make_premises(by=office)
    move(case=case, act="to-engineer", by=office)
    pack = make_pack(case, by=engineer)
    FrozenPack.objects.filter(pk=pack.pk).update(pdf_sha256=storage.store(b"%PDF-1.7 invented"))

    page = window(office, size="phone")
    page.goto(reverse("premises", args=[case.premises.key]))
    page.get_by_role("link", name="Send the pack").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Send the application")
    page.get_by_role("link", name="copy sheet").click()
    left = page.locator("#copying .lead")
    before = left.inner_text()
    page.get_by_role("button", name="Tick").first.click()
    expect(left).not_to_have_text(before)
    assert CopyTick.objects.count() == 1
    assert axe(page) == []

    page.get_by_role("link", name=f"Send {case}").click()
    page.get_by_label("The operator’s reference").fill("OP-INVENTED-7")
    page.get_by_role("button", name="I uploaded it").click()
    expect(page.get_by_text("It is entered as sent.")).to_be_visible()
    assert Dispatch.objects.get().reference == "OP-INVENTED-7"

    page.get_by_label("Its reference, and what it wrote").fill("OP-INVENTED-7, by e-mail.")
    page.get_by_role("button", name="The operator acknowledged it").click()
    expect(page.get_by_text("The case is “Sent” now.")).to_be_visible()
    last = case.moves.order_by("-number")[0]
    assert (last.act, last.on) == ("acknowledge", timezone.localdate())
    assert page.evaluate("document.documentElement.scrollWidth") <= 360

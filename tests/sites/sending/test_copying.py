"""The copy sheet follows the operator's form and keeps its ticks; letters and calls are chased."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from sites.house.models import Event
from sites.house.refusals import RefusedError
from sites.packs.writing.erasing import erase_personal_parts
from sites.sending.models import CopyTick, FormItem
from sites.sending.reading.calls import chases_of
from sites.sending.reading.copying import copy_sheet, in_form_order
from sites.sending.writing.calls import end_chase, enter_conversation
from sites.sending.writing.copying import enter_form, tick
from tests.sites.making import make_conversation

pytestmark = pytest.mark.django_db


def test_numbers_stand_as_on_a_form():
    numbers = {"a": ["10"], "b": ["2"], "c": ["3.10", "1"], "d": ["3.2"], "e": ["3a"]}
    assert [number for number, _item in in_form_order(numbers)] == [
        "1", "2", "3.2", "3.10", "3a", "10",
    ]  # fmt: skip


def test_the_sheet_follows_the_form_and_keeps_what_is_copied(pack, office):
    """A home with two units of 3.6 kW: what is asked of units has a line for each."""
    free = copy_sheet(pack)
    assert not free.ordered
    assert free.left == len(free.rows) > 30
    numbers = {"units.rated_w": "4", "premises.postcode": "10", "customer.name": "1.2, 9"}
    enter_form(operator=free.operator, numbers=numbers, by=office)
    sheet = copy_sheet(pack)
    customer = sheet.rows[0].value
    assert customer.startswith("Invented Customer")
    assert [(row.number, row.value) for row in sheet.rows] == [
        ("1.2", customer),
        ("4", "3.60"),
        ("4", "3.60"),
        ("9", customer),
        ("10", "ZZ1 1AA"),
    ]
    assert len(sheet.rows) + len(sheet.rest) == len(free.rows) + 1
    tick(pack=pack, item=sheet.rows[1].key, done=True, who=office)
    tick(pack=pack, item=sheet.rows[1].key, done=True, who=office)
    assert [row.done for row in copy_sheet(pack).rows] == [False, True, False, False, False]
    assert copy_sheet(pack).left == 4
    tick(pack=pack, item=sheet.rows[1].key, done=False, who=office)
    assert not CopyTick.objects.exists()


def test_the_log_tells_which_numbers_came_and_went(office):
    enter_form(operator="gb-10", numbers={"premises.postcode": "10"}, by=office)
    enter_form(operator="gb-10", numbers={"premises.postcode": "11", "no.item": "3"}, by=office)
    assert FormItem.objects.get().number == "11"
    assert Event.objects.filter(act="form.entered")[0].data == {
        "operator": "gb-10",
        "added": ["11 premises.postcode"],
        "gone": ["10 premises.postcode"],
    }


def test_a_word_of_the_form_is_no_number(by_office, words):
    address = reverse("operator-form", args=["gb-10"])
    answer = by_office.post(address, {"premises.postcode": "Post code", "customer.name": "1"})
    assert answer.status_code == 422
    assert 'value="Post code"' in answer.content.decode()
    assert "Write the number of the item on the form" in words(answer)
    assert not FormItem.objects.exists()


def test_a_value_is_ticked_without_a_script(case, by_office, words):
    address = reverse("case-copy", args=[case.key])
    page = words(by_office.get(address))
    assert "left to copy" in page
    (row, *_rest) = copy_sheet(case.application.packs.get()).rows
    assert by_office.post(address, {"item": row.key, "done": "1"}).status_code == 302
    part = by_office.post(address, {"item": row.key, "done": "0"}, headers={"HX-Request": "true"})
    assert b"<html" not in part.content


def test_calls_are_chased_until_it_is_done(plain, office, by_office, words):
    today = timezone.localdate()
    later = today + dt.timedelta(days=3)
    call = make_conversation(plain, by=office, chase_on=later, with_whom=" Invented  clerk ")
    make_conversation(plain, by=office, chase_on=None)
    found = chases_of([plain])[plain.pk]
    assert [(each.on, each.whom) for each in found] == [(later, "Invented clerk")]
    end_chase(conversation=call, by=office)
    assert chases_of([plain]) == {}
    with pytest.raises(RefusedError):
        end_chase(conversation=call, by=office)
    assert "They look for it." in words(by_office.get(reverse("case-calls", args=[plain.key])))


@pytest.mark.parametrize(("box", "days"), [("on", 1), ("chase_on", -1)])
def test_a_day_that_cannot_be_is_refused(plain, office, box, days):
    today = timezone.localdate()
    days_of = {"on": today, "chase_on": today, box: today + dt.timedelta(days=days)}
    with pytest.raises(RefusedError) as refused:
        enter_conversation(case=plain, kind="call", with_whom="A", said="B", by=office, **days_of)
    assert refused.value.field == box


def test_erasing_reaches_what_was_said(case, pack, office, engineer):
    call = make_conversation(case, by=office, said="Mr Quill asks.", with_whom="Mr Quill")
    erase_personal_parts(application=case.application, by=engineer)
    call.refresh_from_db()
    assert (call.said, call.with_whom) == ("Erased.", "Erased.")
    assert not Event.objects.filter(data__icontains="Quill").exists()

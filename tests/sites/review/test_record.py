"""Plant that the operator has no record of: a letter of the facts, and a case that waits."""

import pytest
from django.urls import reverse
from django.utils import timezone

from sites.house.refusals import RefusedError
from sites.packs.writing.issuing import ObstructedError
from sites.review.models import RecordQuery
from tests.sites.cases.test_writing import fresh, go, issue
from tests.sites.making import home, make_premises
from tests.sites.review.making import small

pytestmark = pytest.mark.django_db


def with_old_plant(by, w=3600):
    """Panels on an inverter that is there, and storage that is proposed."""
    units = home()["units"]
    units[0] |= {"status": "existing", "rated_w": w, "commissioned_on": "2016-06"}
    return make_premises(by=by, units=units)


def ask(client, case, recorded=""):
    boxes = {"recorded": recorded, "asked_on": timezone.localdate().isoformat()}
    return client.post(reverse("case-record", args=[case.key]), boxes, follow=True)


def test_the_letter_says_what_was_found_and_what_is_recorded(client, office):
    case = with_old_plant(office)
    client.force_login(office)
    page = reverse("case-record", args=[case.key])
    assert "We know of no entry" in client.get(page).content.decode()
    ask(client, case, "One inverter of 2.5 kW, 2012.")
    text = client.get(reverse("record-letter", args=[case.key])).content.decode()
    assert "One inverter of 2.5 kW, 2012." in text
    assert "3.6 kW" in text
    assert "I3.6" in text
    assert "commissioning date" in text
    assert "2016" in text
    assert case.premises.supply_numbers.get().value in text
    # What is proposed is no plant that was found.
    assert text.count("\n- ") == 1


def test_nothing_is_issued_until_the_operator_has_answered(client, office, engineer):
    case = with_old_plant(office)
    go(case, engineer, "to-engineer")
    client.force_login(office)
    ask(client, case)
    with pytest.raises(ObstructedError, match="has not answered on its record"):
        issue(case, engineer)
    assert "open already" in ask(client, case).content.decode()
    query = RecordQuery.objects.get()
    address = reverse("record-answer", args=[query.key])
    boxes = {"outcome": "as-found", "answered_on": timezone.localdate().isoformat()}
    assert client.post(address, {**boxes, "outcome": ""}).status_code == 422
    assert client.post(address, boxes).status_code == 302
    assert fresh(case).kept.open_queries == 0
    issue(case, engineer)


def test_a_notification_waits_too(client, office, engineer):
    case = small()
    client.force_login(office)
    # No plant is there, but somebody may have been told of some.
    ask(client, case)
    with pytest.raises(RefusedError, match="answer on its record"):
        go(case, engineer, "clear")


@pytest.mark.parametrize(
    ("w", "says"),
    [
        # 3.6 kW are 15.7 A, at most 16 A: only notified.
        (3600, "Late notice of plant that you were not told of"),
        # 12 kW are 52 A.
        (12_000, "it is applied for"),
    ],
)
def test_plant_never_told_of_is_notified_late_where_that_is_the_way(client, office, w, says):
    case = with_old_plant(office, w)
    client.force_login(office)
    ask(client, case)
    boxes = {"outcome": "never", "answered_on": timezone.localdate().isoformat()}
    client.post(reverse("record-answer", args=[RecordQuery.objects.get().key]), boxes)
    assert says in client.get(reverse("case-record", args=[case.key])).content.decode()

"""What a change after issuing asks for, beside the packs that are void by it."""

import pytest
from django.db.models import F
from django.urls import reverse

from sites.packs.reading.swaps import swap_of
from sites.premises.models import Premises, Unit
from tests.sites.cases.test_writing import fresh, go, issue
from tests.sites.making import make_premises, make_reply

pytestmark = pytest.mark.django_db


def agreed(engineer):
    """PV and storage of 3.6 kW each, issued, sent and agreed to."""
    case = make_premises(by=engineer)
    go(case, engineer, "to-engineer")
    issue(case, engineer)
    go(case, engineer, "send")
    make_reply(case, by=engineer, kind="agreed", conditions=())
    return fresh(case)


def change(case, label="bat-1", **columns):
    Unit.objects.filter(design=case.design, label=label).update(**columns)
    Premises.objects.filter(pk=case.premises_id).update(version=F("version") + 1)
    return swap_of(fresh(case).application)


def test_nothing_issued_is_compared_with_nothing(engineer):
    assert swap_of(make_premises(by=engineer).application) is None


def test_without_a_change_of_plant_the_same_papers_hold(engineer):
    case = agreed(engineer)
    Premises.objects.filter(pk=case.premises_id).update(name="Another name")
    found = swap_of(fresh(case).application)
    assert found is not None
    assert (found.verdict, found.void) == ("same", ())


@pytest.mark.parametrize(
    ("columns", "verdict", "says"),
    [
        ({"model": "I3.6 Mark 2"}, "notify", "no more than what was applied for"),
        ({"rated_w": 3000}, "notify", "no more than what was applied for"),
        # 3.6 + 3.68 = 7.28 kW, more than the 7.2 kW that was agreed to.
        ({"rated_w": 3680}, "apply", "The registered capacity grows from 7.2 kW to 7.28 kW."),
    ],
)
def test_a_change_is_notified_or_applied_for_again(engineer, columns, verdict, says):
    case = agreed(engineer)
    found = change(case, **columns)
    assert found is not None
    assert found.verdict == verdict
    assert says in " ".join(found.why)
    assert [each.revision for each in found.void] == [1]
    assert bool(found.note) == (verdict == "notify")


def test_the_page_and_the_void_pack_say_so(client, office, engineer):
    case = agreed(engineer)
    client.force_login(office)
    page = reverse("case-swap", args=[case.key])
    pack = reverse("pack", args=[case.application.packs.get().key])
    assert "The same papers hold" in client.get(page).content.decode()
    assert "is void" not in client.get(pack).content.decode()
    change(case, rated_w=5000)
    words = client.get(page).content.decode()
    assert "Apply again" in words
    assert "Revision 1" in words
    assert "This revision is void" in client.get(pack).content.decode()

"""The page of the operator's answers: figures in their own unit, and the two caps kept apart."""

import pytest
from django.urls import reverse
from django.utils import timezone

from sites.premises.models import Cap
from sites.review.models import Reply
from tests.sites.making import make_person, make_premises, make_reply

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client):
    person = make_person("office")
    client.force_login(person)
    return person


def page_of(client, case):
    return client.get(reverse("case-answers", args=[case.key]))


def post(client, case, **boxes):
    boxes = {"received_on": timezone.localdate().isoformat(), **boxes}
    return client.post(reverse("case-answers", args=[case.key]), boxes)


def three_phase(**changes):
    return make_premises(supply={"phases": 3, "cutout_a": 80}, **changes)


def test_an_empty_page_says_what_to_do(client, office):
    assert "No answer has been entered" in page_of(client, make_premises()).content.decode()


@pytest.mark.parametrize(
    ("written", "value", "basis"),
    [
        ("5 kW", 5000, "w_total"),
        ("16 A", 16_000, "ma_per_phase"),
        ("3.68 kVA", 3680, "va_total"),
        ("0 kW", 0, "w_total"),
    ],
)
def test_a_cap_is_kept_in_the_unit_it_was_written_in(client, office, written, value, basis):
    case = make_premises()
    assert post(client, case, kind="cap-export", written=written).status_code == 302
    cap = Cap.objects.get(premises=case.premises)
    assert (cap.on, cap.value, cap.basis, cap.split_equally) == ("export", value, basis, None)
    assert written in page_of(client, case).content.decode()


def test_a_total_on_three_phases_is_asked_about(client, office):
    case = three_phase()
    answer = post(client, case, kind="cap-export", written="5 kW")
    assert answer.status_code == 422
    words = answer.content.decode()
    assert "21.74 A on one phase, 7.25 A on each of 3" in words
    assert 'value="5 kW"' in words  # what was typed is still there
    assert not Reply.objects.exists()


@pytest.mark.parametrize(
    ("split", "value", "equally"),
    [("shared", 5000, True), ("whole", 5000, False), ("each", 15_000, True)],
)
def test_how_the_phases_share_it(client, office, split, value, equally):
    case = three_phase()
    assert post(client, case, kind="cap-installed", written="5 kW", split=split).status_code == 302
    cap = Cap.objects.get(premises=case.premises)
    assert (cap.on, cap.value, cap.split_equally) == ("installed", value, equally)


BAD = [
    ({"kind": "cap-export"}, "Write the figure that the operator gave, with its unit."),
    ({"kind": "cap-export", "written": "5"}, '"5" has no unit; write it as in "16 A", "3.68 kW"'),
    ({"kind": "cap-export", "written": "lots"}, '"lots" is not one number with a unit; write it'),
    ({"kind": "cap-export", "written": "5 kWh"}, '"5 kWh" is an energy (Wh); a current, a real '),
    ({"kind": "cap-export", "written": "5,000 W"}, "in two ways; write 5000 or 5.000."),
    ({"kind": "cap-export", "written": "-5 kW"}, "This can't be negative"),
    ({"kind": "condition"}, "Write each condition"),
    ({"kind": "agreed", "after": "Tell us."}, "This answer has no conditions"),
    ({"kind": "offer"}, "Give the charge"),
    ({"kind": "offer", "charge": "0"}, "more than nothing"),
    ({"kind": "refused", "charge": "5"}, "This answer has no charge"),
    ({"kind": "wanted"}, "Write what the operator wants to know"),
    ({}, "Say what the operator answers."),
    ({"kind": "agreed", "received_on": ""}, "Give the day on which it came."),
    ({"kind": "agreed", "received_on": "2999-01-01"}, "lies ahead"),
    ({"kind": "agreed", "valid_until": "2001-01-01"}, "before the answer came"),
]


@pytest.mark.parametrize(("boxes", "words"), BAD)
def test_what_is_wrong_is_said_at_its_box(client, office, boxes, words):
    case = make_premises()
    answer = post(client, case, **boxes)
    assert answer.status_code == 422
    assert words in answer.content.decode().replace("&#x27;", "'").replace("&quot;", '"')
    assert not Reply.objects.exists()
    assert not Cap.objects.exists()


@pytest.mark.parametrize("kind", ["agreed", "condition", "refused"])
def test_a_figure_with_an_answer_that_takes_none_is_asked_about(client, office, kind):
    case = make_premises()
    boxes = {"kind": kind, "written": "5 kW", "words": "Fit a meter."}
    if kind == "condition":
        boxes["after"] = "Fit a meter."
    answer = post(client, case, **boxes)
    assert answer.status_code == 422
    said = answer.content.decode()
    assert "If 5 kW is a cap, say above what it caps; if not, empty this box." in said
    assert '<a href="#id_written">' in said
    assert 'value="5 kW"' in said
    assert not Reply.objects.exists()
    assert post(client, case, **boxes | {"written": " "}).status_code == 302
    assert Reply.objects.get().written == ""


def test_what_meets_a_cap_on_export_is_a_limit(client, office):
    case = make_premises()
    post(client, case, kind="cap-export", written="3 kW")
    words = page_of(client, case).content.decode()
    assert "above the operator&#x27;s cap of 3 kW" in words
    assert "limitation scheme holding export to 3 kW" in words
    assert "Save as a design" in words


def test_a_cap_on_installed_capacity_is_not_met_by_a_limit(client, office):
    case = make_premises()
    post(client, case, kind="cap-installed", written="3 kW")
    words = page_of(client, case).content.decode()
    assert "An export limit" not in words.split("What would meet it")[-1]
    assert "limitation scheme holding export" not in words
    assert "hybrid inverter of 3 kW" in words


def test_only_what_answers_all_that_was_asked_meets_it(client, office):
    # A limit answers the cap on export, and only less capacity the one on installed capacity.
    case = make_premises()
    post(client, case, kind="cap-export", written="3 kW")
    post(client, case, kind="cap-installed", written="3.2 kW")
    meeting, partly = page_of(client, case).content.decode().split("What would meet a part of it")
    assert "limitation scheme holding export to 3 kW leads" not in meeting
    assert "limitation scheme holding export to 3 kW" in partly
    assert "The operator&#x27;s cap on installed capacity still stops it." in partly
    assert "cap on export still stops it" not in meeting.split("What would meet it")[1]
    assert "hybrid inverter of 3 kW" in meeting


def test_an_answered_cap_leaves_no_list(client, office):
    case = make_premises()
    post(client, case, kind="cap-export", written="30 kW")
    words = page_of(client, case).content.decode()
    assert "What would meet" not in words
    assert "No change that was tried" not in words


def test_an_answer_is_taken_back_once_and_its_cap_goes(client, office):
    case = make_premises()
    reply = make_reply(
        case, by=office, kind="cap-export", written="3 kW", value=3000, basis="w_total"
    )
    address = reverse("answer-take-back", args=[reply.key])
    client.post(address)
    assert not Cap.objects.exists()
    assert "Taken back by" in page_of(client, case).content.decode()
    answer = client.post(address, follow=True)
    assert "taken back already" in answer.content.decode()


@pytest.mark.parametrize("count", [1, 12])
def test_queries_do_not_grow_with_answers(client, office, count, django_assert_max_num_queries):
    case = make_premises()
    for _ in range(count):
        make_reply(case, by=office)
    with django_assert_max_num_queries(26):
        page_of(client, case)


def test_hostile_words_are_shown_as_words(client, office):
    case = make_premises()
    make_reply(case, by=office, words="<script>alert(1)</script>")
    assert "<script>alert" not in page_of(client, case).content.decode()

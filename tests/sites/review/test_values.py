"""Values to read: what applications used, ticked as read in the document, and said everywhere."""

import datetime as dt
import html
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from connections.rulebook.telling import day_in_words
from sites.deciding.reading.deciding import decide_case
from sites.house.models import Event
from sites.house.refusals import NotAllowedError, RefusedError
from sites.packs.reading.packs import draft_of
from sites.review.reading.values import documents_to_read
from sites.rulebook.models import ValueReading
from sites.rulebook.writing.local_entries import add_entry
from sites.rulebook.writing.readings import read_values, take_back_reading
from tests.sites.making import home, make_person, make_premises, make_reading
from tests.sites.rulebook.making import reading as entry

PAGE = reverse("values-to-read")
LIMIT = "g99-short.single_limit"
"""17 kW, from an operator's guidance. The site of these tests has 12 kW on one phase, above the
integrated routes, and takes the short form by it. EREC G99 itself would settle it."""
G99 = "EREC G99, Issue 2 (2025)"


def of_one_unit(rated_w, **changes):
    return make_premises(units=[{**home()["units"][0], "rated_w": rated_w}], **changes)


@pytest.fixture
def case(db):
    return of_one_unit(12_000)


@pytest.fixture
def office(client, db):
    person = make_person("office")
    client.force_login(person)
    return person


@pytest.fixture
def engineer(client, db):
    person = make_person("engineer")
    client.force_login(person)
    return person


def said(answer):
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def unread(key=LIMIT):
    return next((v for doc in documents_to_read() for v in doc.values if v.key == key), None)


def tick(client, *keys):
    return client.post(PAGE, {"read": [unread(key).mark for key in keys]})


def unsure_in(case):
    decision = decide_case(case).decision
    assert decision is not None
    return {key for f in decision.findings if f.id == "uncertain-values" for key in f.keys}


class TestThePage:
    def test_values_stand_under_the_document_that_settles_them(self, client, case, office):
        page = said(client.get(PAGE))
        g99 = page[page.index(G99) :]
        assert "17 kW" in g99
        assert f"Used by {case.application.reference}" in g99
        assert "Told by: Public operator guidance" in g99

    def test_all_unread_values_of_all_applications_stand_there(self, client, case, office):
        other = of_one_unit(3600)
        shown = {v.key for doc in documents_to_read() for v in doc.values}
        assert shown == unsure_in(case) | unsure_in(other)

    def test_the_review_of_a_site_leads_there(self, client, case, engineer):
        page = client.get(reverse("case-review", args=[case.key])).content.decode()
        assert f'<a href="{PAGE}">Read them in their documents</a>' in page

    def test_the_office_sees_no_boxes(self, client, case, office):
        page = client.get(PAGE).content.decode()
        assert 'name="read"' not in page
        assert "An engineer ticks what was read." in page

    def test_without_applications_there_is_nothing_to_read(self, client, engineer):
        page = said(client.get(PAGE))
        assert "Every value that the applications used is published" in page

    def test_queries_do_not_grow(self, client, case, engineer):
        def queries():
            with CaptureQueriesContext(connection) as captured:
                assert client.get(PAGE).status_code == 200
            return len(captured)

        tick(client, LIMIT)
        queries()
        few = queries()
        for n in range(3):
            of_one_unit(5000 + n)
        tick(client, "time.short_offer", "form.short_application")
        queries()
        assert queries() == few


class TestReading:
    def test_what_is_ticked_is_kept_with_person_and_day(self, client, case, engineer):
        answer = tick(client, LIMIT, "time.short_offer")
        assert answer.status_code == 302
        row = ValueReading.objects.get(about=LIMIT)
        assert (row.document, row.edition) == ("g99-2", "Issue 2 (2025)")
        assert (row.amount, row.read_by) == ("17 kW", engineer)
        page = said(client.get(PAGE))
        assert "Kept: you have read 2 values and agree." in page
        assert LIMIT in page[page.index("Read by the firm Value") :]
        assert unread() is None
        acts = [e.act for e in Event.objects.filter(subject=LIMIT)]
        assert acts == ["value.read"]

    def test_a_decision_counts_it_no_more_and_decides_as_before(self, client, case, engineer):
        before = decide_case(case).decision
        assert before is not None
        assert LIMIT in unsure_in(case)
        tick(client, LIMIT)
        after = decide_case(case).decision
        assert after is not None
        assert LIMIT not in unsure_in(case)
        assert after.rulebook == before.rulebook  # its digest with it
        assert (after.procedure.key, after.steps) == (before.procedure.key, before.steps)
        bases = [
            [(f.id, f.subject, f.basis) for f in d.findings if f.id != "uncertain-values"]
            for d in (before, after)
        ]
        assert bases[0] == bases[1]

    def test_pages_say_so_with_name_and_day(self, client, case, engineer):
        day = day_in_words(timezone.localdate())
        by = f"read by the firm, {engineer}, {day}"
        where = {"where": "gb-12"}
        value = reverse("rulebook-value", args=[LIMIT])
        assert by not in said(client.get(value, where)).lower()
        tick(client, LIMIT)
        page = said(client.get(value, where))
        assert f"Certainty R{by[1:]}" in page
        assert "The rulebook alone: Secondary" in page
        values = said(client.get(reverse("rulebook-values"), {**where, "show": "read"}))
        assert by in values
        assert "Read by the firm in the document 1 0" in said(
            client.get(reverse("rulebook"), where)
        )
        explained = said(client.get(reverse("case-explained", args=[case.key])))
        assert by in explained

    def test_an_annex_made_after_it_says_so_and_names_nobody(self, client, case, engineer):
        def words():
            annex = draft_of(case.application).annex
            assert annex is not None
            return str(annex.technical.sections)

        before = words()
        assert "read by the firm" not in before
        tick(client, LIMIT)
        after = words()
        assert f"(read by the firm, {day_in_words(timezone.localdate())})" in after
        assert str(engineer) not in after

    def test_a_mark_that_is_not_there_loses_no_tick(self, client, case, engineer):
        mark = unread().mark
        answer = client.post(PAGE, {"read": [mark, "0" * 16]})
        assert answer.status_code == 422
        assert "has changed or is no longer used" in said(answer)
        boxes = re.findall(r'<input[^>]* name="read"[^>]*>', answer.content.decode())
        assert [mark in box for box in boxes if " checked" in box] == [True]
        assert not ValueReading.objects.exists()

    def test_nothing_ticked(self, client, case, engineer):
        answer = client.post(PAGE, {})
        assert answer.status_code == 422
        assert "Tick the values that you have read." in said(answer)

    def test_only_an_engineer_reads(self, client, case, office):
        assert tick(client, LIMIT).status_code == 403
        with pytest.raises(NotAllowedError):
            make_reading(by=office)
        assert not ValueReading.objects.exists()

    def test_twice_is_once(self, case, engineer):
        make_reading(by=engineer)
        make_reading(by=engineer)
        assert ValueReading.objects.count() == 1

    def test_values_without_a_document_can_not_be_ticked(self, client, case, engineer):
        # The kind of supply number of Northern Ireland stands from memory, and nothing settles it.
        units = [{**home()["units"][0], "standard": "G98/NI", "rated_w": 3000}]
        premises = {
            "nation": "northern_ireland",
            "address_lines": ["1 Reedcutter Row"],
            "supply_numbers": [{"use": "import", "scheme": "gb13", "value": "9912345678906"}],
        }
        make_premises(units=units, premises=premises)
        [none] = [doc for doc in documents_to_read() if not doc.is_one]
        assert [value.key for value in none.values] == ["supply_number.scheme"]
        page = client.get(PAGE)
        assert "No document is known that settles these." in said(page)
        assert f'value="{none.values[0].mark}"' not in page.content.decode()
        assert none.values[0].otherwise == "key=supply_number.scheme"
        answer = client.post(PAGE, {"read": [none.values[0].mark]})
        assert answer.status_code == 422
        assert not ValueReading.objects.exists()


class TestWhatItSaysOtherwise:
    def test_the_form_of_a_local_entry_names_the_document(self, client, case, engineer):
        page = client.get(PAGE).content.decode()
        link = f"{reverse('local-new-value')}?{unread().otherwise}"
        assert html.escape(link) in page
        form = client.get(link).content.decode()
        assert f'value="{G99}"' in form
        assert '<option value="recommendation" selected>' in form

    def test_the_form_makes_the_entry(self, client, case, engineer):
        form = {
            "value": "16 kW", "area": "", "since": "2026-01-01", "until": "", "title": G99,
            "document_kind": "recommendation", "clause": "Annex A.1", "certainty": "local",
            "note": "", "reason": "Read in the document.", "act": "enter",
        }  # fmt: skip
        answer = client.post(f"{reverse('local-new-value')}?{unread().otherwise}", form)
        assert answer.status_code == 302, said(answer)
        assert unread() is None
        decision = decide_case(case).decision
        assert decision is not None
        [limit] = [c for c in decision.procedure.because if c.key == LIMIT]
        assert (limit.limit, limit.source) == (16_000, f"{G99}, Annex A.1")

    def test_another_figure_takes_the_value_off_the_list(self, client, case, engineer):
        make_reading(by=engineer)
        content = {
            "says": "The largest aggregate of the short form on one phase.",
            "unit": "W",
            "applies_to": "short applications",
            "checked": "2026-11-30",
            "value": "16 kW",
        }
        other = entry(about=LIMIT, content=content, since=dt.date(2026, 1, 1))
        add_entry(area="", entry=other, reason="Read in the document.", by=engineer)
        assert unread() is None
        page = said(client.get(reverse("rulebook-value", args=[LIMIT]), {"where": "gb-12"}))
        assert "16 kW" in page
        # What was read is the 17 kW beneath, so the entry is not called read.
        assert "read by the firm" not in page.partition("What each layer says")[0].lower()


class TestTakingBack:
    def test_the_value_is_unread_again(self, client, case, engineer):
        row = make_reading(by=engineer)
        answer = client.post(reverse("reading-take-back", args=[row.key]), follow=True)
        assert f"Taken back: {LIMIT} counts as not read." in said(answer)
        assert unread() is not None
        assert LIMIT in unsure_in(case)
        with pytest.raises(RefusedError, match="taken this back meanwhile"):
            take_back_reading(row=row, by=engineer)
        make_reading(by=engineer)  # and may be read again
        assert unread() is None

    def test_what_has_changed_since_is_said(self, client, case, engineer):
        row = make_reading(by=engineer)
        assert "counts no longer" not in said(client.get(PAGE))
        ValueReading.objects.filter(pk=row.pk).update(value_digest="0" * 64)
        assert "counts no longer: the value has changed since" in said(client.get(PAGE))
        with pytest.raises(RefusedError):
            read_values(values=[], by=engineer)

"""The pack before it is issued: what it says, what stands in the way, and issuing it."""

import datetime as dt
import io

import pikepdf
import pytest
from django.urls import reverse
from django_tasks_db.models import DBTaskResult

from sites.packs.models import FrozenPack
from sites.premises.models import Unit
from tests.sites.making import (
    island,
    make_attachment,
    make_pack,
    make_person,
    make_premises,
    make_verdict,
)
from tests.sites.review.making import capped, commission, small


@pytest.fixture
def line(office):
    return make_premises(by=office)


def preview(line):
    return reverse("pack-preview", args=[line.application.key])


def issue(line):
    return reverse("issue", args=[line.application.key])


def form_of(page):
    """What the issue form of a page sends."""
    return {name: page.context["issue_form"][name].value() for name in ("version", "revision")} | {
        "content": page.context["issue_form"]["content"].value()
    }


class TestPreview:
    def test_it_says_what_the_pack_would_say(self, by_engineer, line):
        text = by_engineer.get(preview(line)).text
        assert "Not issued; it would be revision 1." in text
        assert "Generating units, existing and proposed" in text
        assert "Single-line diagram" in text
        assert "<svg" in text
        assert line.premises.name in text

    def test_with_nothing_in_the_way_an_engineer_can_issue(self, by_engineer, line):
        page = by_engineer.get(preview(line))
        assert page.context["obstacles"] == []
        assert "Issue revision 1" in page.text

    def test_the_office_sees_it_and_has_no_button(self, by_office, line):
        text = by_office.get(preview(line)).text
        assert "An engineer issues the pack." in text
        assert issue(line) not in text

    def test_each_obstacle_links_to_where_it_is_settled(self, by_engineer, office):
        line = capped(**island())
        page = by_engineer.get(preview(line))
        stop, decision = page.context["obstacles"]
        assert stop.severity_words == "Stops the application"
        assert stop.link.startswith(reverse("line-review", args=[line.key]) + "#finding-export")
        assert decision.link.startswith(reverse("line-review", args=[line.key]) + "#finding-can")
        review = by_engineer.get(reverse("line-review", args=[line.key])).text
        for obstacle in (stop, decision):
            assert f'id="{obstacle.link.partition("#")[2]}"' in review
        assert issue(line) not in page.text

    def test_a_notification_names_date_serials_and_declaration(self, by_engineer):
        line = small()
        page = by_engineer.get(preview(line))
        said = [(obstacle.says, obstacle.link) for obstacle in page.context["obstacles"]]
        sheet = reverse("design-sheet", args=[line.design.key])
        assert [link for _says, link in said] == [sheet, sheet, "#issue-declared_by"]
        assert "commissioning date of pv-1" in said[0][0]
        assert issue(line) not in page.text
        commission(line, commissioned_on=dt.date(2026, 11, 20), serials="SN-1")
        page = by_engineer.get(preview(line))
        assert 'id="issue-declared_by"' in page.text
        assert "Notification of generation connected" in page.text

    def test_a_sheet_that_is_not_finished_says_what_it_lacks(self, by_engineer, line):
        Unit.objects.filter(premises=line.premises).delete()
        page = by_engineer.get(preview(line))
        assert page.status_code == 200
        (obstacle,) = page.context["obstacles"]
        assert obstacle.link == reverse("design-sheet", args=[line.design.key])
        assert by_engineer.get(
            reverse("preview-print", args=[line.application.key])
        ).status_code in (200, 302)

    def test_it_is_not_kept_by_the_browser(self, by_engineer, line):
        assert "no-store" in by_engineer.get(preview(line))["Cache-Control"]

    @pytest.mark.parametrize("files", [1, 20])
    def test_the_number_of_queries_does_not_grow(
        self, by_engineer, office, line, django_assert_max_num_queries, files
    ):
        from sites.house.uploads import Upload
        from sites.review.writing.attachments import add_attachment

        for n in range(files):
            upload = Upload(f"{n}.pdf", f"File {n}", "application/pdf", bytes([n]) * 9, 1)
            add_attachment(line=line, upload=upload, by=office)
        by_engineer.get(preview(line))
        with django_assert_max_num_queries(24):
            page = by_engineer.get(preview(line))
        assert page.text.count("Take out") >= files

    def test_names_are_text_and_never_run(self, by_engineer, line):
        line.premises.parties.update(name='<img src=x onerror="alert(1)">')
        line.premises.name = "<script>alert(1)</script>"
        line.premises.save()
        Unit.objects.filter(premises=line.premises).update(maker="<b onclick=alert(1)>")
        text = by_engineer.get(preview(line)).text
        for piece in ("<script>alert", "<img src=x", "<b onclick"):
            assert piece not in text


class TestPrint:
    def test_it_is_marked_as_not_issued_and_nothing_is_kept(self, by_engineer, line, store):
        answer = by_engineer.get(reverse("preview-print", args=[line.application.key]))
        assert answer["Content-Type"] == "application/pdf"
        assert "no-store" in answer["Cache-Control"]
        with pikepdf.open(io.BytesIO(answer.content)) as pdf:
            assert "not issued" in str(pdf.docinfo["/Title"])
        assert not FrozenPack.objects.exists()
        assert not list(store.glob("*/*"))

    def test_a_fault_of_the_printer_is_said_in_words(self, by_engineer, office, line, store):
        attachment = make_attachment(line, by=office)
        (store / attachment.sha256[:2] / attachment.sha256).unlink()
        answer = by_engineer.get(reverse("preview-print", args=[line.application.key]))
        assert answer.status_code == 500
        assert "is not in the store" in answer.text


class TestIssuing:
    def test_issued_it_is_frozen_and_being_printed(self, by_engineer, engineer, line):
        answer = by_engineer.post(issue(line), form_of(by_engineer.get(preview(line))))
        pack = FrozenPack.objects.get()
        assert answer.status_code == 302
        assert answer["Location"] == reverse("pack", args=[pack.key])
        text = by_engineer.get(answer["Location"]).text
        assert "is being printed" in text
        assert f"by {engineer}" in text
        assert pack.digest in text

    def test_a_double_click_leads_to_the_one_revision(self, by_engineer, line):
        sent = form_of(by_engineer.get(preview(line)))
        first = by_engineer.post(issue(line), sent)
        second = by_engineer.post(issue(line), sent, follow=True)
        assert second.redirect_chain == [(first["Location"], 302)]
        assert "nothing was issued twice" in second.text
        assert FrozenPack.objects.count() == DBTaskResult.objects.count() == 1

    def test_what_was_not_seen_is_shown_first(self, by_engineer, line):
        sent = form_of(by_engineer.get(preview(line)))
        Unit.objects.filter(premises=line.premises, label="pv-1").update(rated_w=3100)
        page = by_engineer.post(issue(line), sent)
        assert page.status_code == 422
        assert "The facts have changed since you opened this page" in page.text
        assert not FrozenPack.objects.exists()
        # The page shows what would be issued now, and the button issues that.
        again = form_of(page)
        assert again["content"] != sent["content"]
        assert by_engineer.post(issue(line), again).status_code == 302

    def test_refused_while_a_decision_is_missing_and_says_which(self, by_engineer, office):
        line = make_premises(by=office, **island())
        sent = form_of(by_engineer.get(preview(line)))
        page = by_engineer.post(issue(line), sent)
        assert page.status_code == 422
        assert "can run as an island" in page.text
        assert not FrozenPack.objects.exists()

    def test_refused_while_a_stop_is_open(self, by_engineer):
        line = capped()
        sent = form_of(by_engineer.get(preview(line)))
        page = by_engineer.post(issue(line), sent)
        assert page.status_code == 422
        assert "above the operator&#x27;s cap" in page.text
        assert not FrozenPack.objects.exists()

    def test_the_office_issues_nothing(self, by_office, line, client):
        client.force_login(make_person("engineer"))
        sent = form_of(client.get(preview(line)))
        client.force_login(make_person("office"))
        assert client.post(issue(line), sent).status_code == 403
        assert not FrozenPack.objects.exists()

    def test_a_notification_wants_its_declaration(self, by_engineer):
        line = small()
        commission(line, commissioned_on=dt.date(2026, 11, 20), serials="SN-1")
        sent = form_of(by_engineer.get(preview(line)))
        page = by_engineer.post(issue(line), sent)
        assert page.status_code == 422
        assert {fault.target for fault in page.context["faults"]} == {
            "issue-declared_by",
            "issue-declared_on",
        }
        page = by_engineer.post(
            issue(line), {**sent, "declared_by": "Bea", "declared_on": "2999-01-01"}
        )
        assert "lies ahead" in page.text
        assert 'value="Bea"' in page.text
        declared = {"declared_by": "Bea Example", "declared_on": "2026-11-21"}
        assert by_engineer.post(issue(line), {**sent, **declared}).status_code == 302

    @pytest.mark.parametrize(
        "sent",
        [
            {},
            {"version": "x", "revision": "1", "content": "y"},
            {"version": "-1", "revision": "1", "content": "0" * 64},
            {"version": "9" * 30, "revision": "1", "content": "0" * 64},
            {"version": "1", "revision": "9" * 30, "content": "0" * 9999},
        ],
    )
    def test_senseless_posts_are_answered_in_words(self, by_engineer, line, sent):
        page = by_engineer.post(issue(line), sent)
        assert page.status_code == 422
        assert not FrozenPack.objects.exists()

    def test_the_next_revision_says_what_changed(self, by_engineer, engineer, line):
        make_pack(line, by=engineer)
        page = by_engineer.get(preview(line))
        assert "Nothing has changed since revision 1" in page.text
        assert issue(line) not in page.text
        Unit.objects.filter(premises=line.premises, label="bat-1").update(rated_w=3000)
        page = by_engineer.get(preview(line))
        assert "What changed since revision 1" in page.text
        assert "bat-1, registered, one unit: 3.000 kW, was 3.600 kW." in page.text
        by_engineer.post(issue(line), form_of(page))
        second = FrozenPack.objects.get(revision=2)
        text = by_engineer.get(reverse("pack", args=[second.key])).text
        assert "bat-1, registered, one unit: 3.000 kW, was 3.600 kW." in text
        assert second.replaces is not None
        first = by_engineer.get(reverse("pack", args=[second.replaces.key])).text
        assert "Revision 2 has taken its place" in first


def test_a_decided_finding_no_longer_stands_in_the_way(by_engineer, engineer, office):
    line = make_premises(by=office, **island())
    make_verdict(line, "can-island", by=engineer)
    page = by_engineer.get(preview(line))
    assert page.context["obstacles"] == []
    assert "Looked at on site." in page.text

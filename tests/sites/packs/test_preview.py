"""The pack before it is issued: what it says, what stands in the way, and issuing it."""

import datetime as dt
import io

import pikepdf
import pytest
from django.urls import reverse
from django_tasks_db.models import DBTaskResult

from sites.packs.models import FrozenPack, SentWithout
from sites.premises.models import Cells, Supply, Unit
from tests.sites.making import (
    home,
    island,
    make_attachment,
    make_pack,
    make_person,
    make_premises,
    make_verdict,
)
from tests.sites.review.making import acts, capped, commission, small


@pytest.fixture
def case(office):
    return make_premises(by=office)


def preview(case):
    return reverse("pack-preview", args=[case.application.key])


def issue(case):
    return reverse("issue", args=[case.application.key])


def without(case):
    return reverse("send-without", args=[case.application.key])


def form_of(page):
    """What the issue form of a page sends."""
    return {name: page.context["issue_form"][name].value() for name in ("version", "revision")} | {
        "content": page.context["issue_form"]["content"].value()
    }


class TestPreview:
    def test_it_says_what_the_pack_would_say(self, by_engineer, case):
        text = by_engineer.get(preview(case)).text
        assert "Not issued; it would be revision 1." in text
        assert "Generating units, existing and proposed" in text
        assert "Single-line diagram" in text
        assert "<svg" in text
        assert case.premises.name in text

    def test_with_nothing_in_the_way_an_engineer_can_issue(self, by_engineer, case):
        page = by_engineer.get(preview(case))
        assert page.context["obstacles"] == []
        assert "Issue revision 1" in page.text

    def test_the_office_sees_it_and_has_no_button(self, by_office, case):
        text = by_office.get(preview(case)).text
        assert "An engineer issues the pack." in text
        assert issue(case) not in text

    def test_each_obstacle_links_to_where_it_is_settled(self, by_engineer, office):
        case = capped(**island())
        page = by_engineer.get(preview(case))
        stop, decision = page.context["obstacles"]
        assert stop.severity_words == "Stops the application"
        assert stop.link.startswith(reverse("case-review", args=[case.key]) + "#finding-export")
        assert decision.link.startswith(reverse("case-review", args=[case.key]) + "#finding-can")
        review = by_engineer.get(reverse("case-review", args=[case.key])).text
        for obstacle in (stop, decision):
            assert f'id="{obstacle.link.partition("#")[2]}"' in review
        assert issue(case) not in page.text

    def test_a_notification_names_date_serials_and_declaration(self, by_engineer):
        case = small()
        page = by_engineer.get(preview(case))
        said = [(obstacle.says, obstacle.link) for obstacle in page.context["obstacles"]]
        sheet = reverse("design-sheet", args=[case.design.key])
        assert [link for _says, link in said] == [
            reverse("premises", args=[case.premises.key]),
            f"{sheet}#id_proposed-units-0-commissioned_on",
            f"{sheet}#id_proposed-units-0-serials",
            "#issue-declared_by",
        ]
        assert "commissioning date of pv-1" in said[1][0]
        assert issue(case) not in page.text
        commission(case, commissioned_on=dt.date(2026, 11, 20), serials="SN-1")
        page = by_engineer.get(preview(case))
        assert 'id="issue-declared_by"' in page.text
        assert "Notification of generation connected" in page.text

    def test_a_sheet_that_is_not_finished_says_what_it_lacks(self, by_engineer, case):
        Unit.objects.filter(premises=case.premises).delete()
        page = by_engineer.get(preview(case))
        assert page.status_code == 200
        (obstacle,) = page.context["obstacles"]
        assert obstacle.link == reverse("design-sheet", args=[case.design.key])
        assert by_engineer.get(
            reverse("preview-print", args=[case.application.key])
        ).status_code in (200, 302)

    def test_it_is_not_kept_by_the_browser(self, by_engineer, case):
        assert "no-store" in by_engineer.get(preview(case))["Cache-Control"]

    @pytest.mark.parametrize("files", [1, 20])
    def test_the_number_of_queries_does_not_grow(
        self, by_engineer, office, case, django_assert_max_num_queries, files
    ):
        from sites.house.uploads import Upload
        from sites.review.writing.attachments import add_attachment

        for n in range(files):
            upload = Upload(f"{n}.pdf", f"File {n}", "application/pdf", bytes([n]) * 9, 1)
            add_attachment(case=case, upload=upload, by=office)
        by_engineer.get(preview(case))
        # Four: whether the firm requires a code, the kept decision and the moves that say what may
        # be issued, and the models that files may name.
        with django_assert_max_num_queries(32):
            page = by_engineer.get(preview(case))
        assert page.text.count("Take out") >= files

    def test_names_are_text_and_never_run(self, by_engineer, case):
        case.premises.parties.update(name='<img src=x onerror="alert(1)">')
        case.premises.name = "<script>alert(1)</script>"
        case.premises.save()
        Unit.objects.filter(premises=case.premises).update(maker="<b onclick=alert(1)>")
        text = by_engineer.get(preview(case)).text
        for piece in ("<script>alert", "<img src=x", "<b onclick"):
            assert piece not in text


def lacking():
    """A site of which one fact lacks in every part that a need can lie in; an export limit that is
    not fully type tested, and 60 kW of inverters on three phases: a full application."""
    site = home()
    site["parties"]["customer"]["phone"] = None
    site["parties"]["owner_consent"] = None
    site["premises"]["supply_numbers"] = []
    site["premises"]["postcode"] = None
    site["supply"] |= {"phases": 3, "cutout_a": None}
    for unit in site["units"]:
        unit |= {"rated_w": 30_000, "phases": ["L1", "L2", "L3"], "standard": "G99"}
    site["units"][1]["model"] = site["units"][1]["maker"] = None
    site["storage"][0]["charges_from_grid"] = None
    site["loads"] = {"items": [{"name": "kiln", "phases": ["L1"]}]}
    site["limits"] = {"export": {"value": 5000, "basis": "w_total", "type_tested": False}}
    site["planned_on"] = None
    return {name: site[name] for name in (
        "parties", "premises", "supply", "units", "storage", "loads", "limits", "planned_on"
    )}  # fmt: skip


class TestMissingFacts:
    """A needed fact that is not known: named with its box, or sent without for a reason."""

    def test_each_links_to_its_box_on_the_sheet(self, by_engineer, office):
        case = make_premises(by=office, **lacking())
        page = by_engineer.get(preview(case))
        links = {each.link for each in page.context["obstacles"] if not each.severity}
        sheet = by_engineer.get(reverse("design-sheet", args=[case.design.key])).text
        boxes = {link.partition("#")[2] for link in links}
        assert boxes == {
            "id_case-planned_on",
            "id_customer-phone",
            "rows-numbers",
            "id_premises-postcode",
            "id_premises-owner_consent",
            "id_supply-cutout_a",
            "id_supply-import_capacity_va",
            "id_supply-export_capacity_va",
            "id_proposed-units-1-model",
            "id_proposed-cells-0-charges_from_grid",
            "id_proposed-loads-0-w",
            *(
                f"id_proposed-export-{name}"
                for name in ("controls", "ct_position", "response_ms", "fail_safe", "measured_at")
            ),
        }
        for box in boxes:
            assert f'id="{box}"' in sheet

    def test_issuing_refuses_until_a_reason_is_given_which_is_printed(
        self, by_engineer, engineer, case
    ):
        Cells.objects.update(usable_wh=None)
        page = by_engineer.get(preview(case))
        (obstacle,) = page.context["obstacles"]
        assert obstacle.says == "Missing: the usable energy of the cells behind bat-1."
        sent = form_of(page)
        assert by_engineer.post(issue(case), sent).status_code == 422
        assert not FrozenPack.objects.exists()
        reason = "The maker tells it only with the delivery."
        page = by_engineer.post(
            without(case), {"facts": "storage.usable/bat-1", "reason": reason}, follow=True
        )
        assert page.context["obstacles"] == []
        assert f"by {engineer}" in page.text
        printed = f"bat-1, usable energy: not given: {reason}"
        assert printed in page.text
        # What was seen before the reason is not what would be sent now.
        assert by_engineer.post(issue(case), sent).status_code == 422
        assert by_engineer.post(issue(case), form_of(page)).status_code == 302
        assert printed.encode() in bytes(FrozenPack.objects.get().technical)
        assert acts(case)[-2:] == ["pack.sent-without", "pack.issued"]

    def test_one_reason_for_several_facts_that_are_chosen(self, by_engineer, case):
        Cells.objects.update(usable_wh=None)
        Supply.objects.update(cutout_a=None)
        chosen = ["storage.usable/bat-1", "supply.cutout_a/"]
        by_engineer.post(without(case), {"facts": chosen, "reason": "Not to be had."})
        rows = SentWithout.objects.order_by("item").values_list("item", "of", "reason")
        assert list(rows) == [
            ("storage.usable", "bat-1", "Not to be had."),
            ("supply.cutout_a", "", "Not to be had."),
        ]
        page = by_engineer.get(preview(case))
        assert page.context["obstacles"] == []
        assert "not known</span> at sending: Not to be had." in page.text

    @pytest.mark.parametrize(
        ("sent", "box"),
        [
            ({"facts": "storage.usable/bat-1", "reason": " "}, "without-reason"),
            ({"reason": "None."}, "without-facts_0"),
            ({"facts": "supply.earthing/", "reason": "None."}, "without-facts_0"),
        ],
    )
    def test_without_a_reason_or_a_gap_nothing_is_entered(self, by_engineer, case, sent, box):
        Cells.objects.update(usable_wh=None)
        page = by_engineer.post(without(case), sent)
        assert page.status_code == 422
        assert [fault.target for fault in page.context["faults"]] == [box]
        assert f'id="{box}"' in page.text
        assert not SentWithout.objects.exists()

    def test_the_day_of_finished_work_is_never_left_out(self, by_engineer):
        case = small()
        commission(case, serials="SN-1")
        page = by_engineer.get(preview(case))
        assert "commissioning date of pv-1" in page.text
        assert "without_form" not in page.context
        sent = {"facts": "case.commissioned_on/", "reason": "Soon."}
        assert by_engineer.post(without(case), sent).status_code == 422
        assert not SentWithout.objects.exists()

    def test_a_fact_that_is_entered_later_ends_the_reason(self, by_engineer, case):
        Cells.objects.update(usable_wh=None)
        by_engineer.post(without(case), {"facts": "storage.usable/bat-1", "reason": "Later."})
        Cells.objects.update(usable_wh=9500)
        text = by_engineer.get(preview(case)).text
        assert "Later." not in text

    def test_what_is_needed_later_is_said_and_stops_nothing(self, by_engineer, case):
        page = by_engineer.get(preview(case))
        assert page.context["obstacles"] == []
        assert "Needed once the work is done, and not known yet:" in page.text
        assert "the serial numbers of pv-1" in page.text


class TestPrint:
    def test_it_is_marked_as_not_issued_and_nothing_is_kept(self, by_engineer, case, store):
        answer = by_engineer.get(reverse("preview-print", args=[case.application.key]))
        assert answer["Content-Type"] == "application/pdf"
        assert "no-store" in answer["Cache-Control"]
        with pikepdf.open(io.BytesIO(answer.content)) as pdf:
            assert "not issued" in str(pdf.docinfo["/Title"])
        assert not FrozenPack.objects.exists()
        assert not list(store.glob("*/*"))

    def test_a_fault_of_the_printer_is_said_in_words(self, by_engineer, office, case, store):
        attachment = make_attachment(case, by=office)
        (store / attachment.sha256[:2] / attachment.sha256).unlink()
        answer = by_engineer.get(reverse("preview-print", args=[case.application.key]))
        assert answer.status_code == 500
        assert "is not in the store" in answer.text


class TestIssuing:
    def test_issued_it_is_frozen_and_being_printed(self, by_engineer, engineer, case):
        answer = by_engineer.post(issue(case), form_of(by_engineer.get(preview(case))))
        pack = FrozenPack.objects.get()
        assert answer.status_code == 302
        assert answer["Location"] == reverse("pack", args=[pack.key])
        text = by_engineer.get(answer["Location"]).text
        assert "is being printed" in text
        assert f"by {engineer}" in text
        assert pack.digest in text

    def test_a_double_click_leads_to_the_one_revision(self, by_engineer, case):
        sent = form_of(by_engineer.get(preview(case)))
        first = by_engineer.post(issue(case), sent)
        second = by_engineer.post(issue(case), sent, follow=True)
        assert second.redirect_chain == [(first["Location"], 302)]
        assert "nothing was issued twice" in second.text
        assert FrozenPack.objects.count() == DBTaskResult.objects.count() == 1

    def test_what_was_not_seen_is_shown_first(self, by_engineer, case):
        sent = form_of(by_engineer.get(preview(case)))
        Unit.objects.filter(premises=case.premises, label="pv-1").update(rated_w=3100)
        page = by_engineer.post(issue(case), sent)
        assert page.status_code == 422
        assert "The facts have changed since you opened this page" in page.text
        assert not FrozenPack.objects.exists()
        # The page shows what would be issued now, and the button issues that.
        again = form_of(page)
        assert again["content"] != sent["content"]
        assert by_engineer.post(issue(case), again).status_code == 302

    def test_refused_while_a_decision_is_missing_and_says_which(self, by_engineer, office):
        case = make_premises(by=office, **island())
        sent = form_of(by_engineer.get(preview(case)))
        page = by_engineer.post(issue(case), sent)
        assert page.status_code == 422
        assert "can run as an island" in page.text
        assert not FrozenPack.objects.exists()

    def test_refused_while_a_stop_is_open(self, by_engineer):
        case = capped()
        sent = form_of(by_engineer.get(preview(case)))
        page = by_engineer.post(issue(case), sent)
        assert page.status_code == 422
        assert "above the operator&#x27;s cap" in page.text
        assert not FrozenPack.objects.exists()

    def test_the_office_issues_nothing(self, by_office, case, client):
        client.force_login(make_person("engineer"))
        sent = form_of(client.get(preview(case)))
        client.force_login(make_person("office"))
        assert client.post(issue(case), sent).status_code == 403
        assert not FrozenPack.objects.exists()

    def test_a_notification_wants_its_declaration(self, by_engineer):
        case = small()
        commission(case, commissioned_on=dt.date(2026, 11, 20), serials="SN-1")
        sent = form_of(by_engineer.get(preview(case)))
        page = by_engineer.post(issue(case), sent)
        assert page.status_code == 422
        assert {fault.target for fault in page.context["faults"]} == {
            "issue-declared_by",
            "issue-declared_on",
        }
        page = by_engineer.post(
            issue(case), {**sent, "declared_by": "Bea", "declared_on": "2999-01-01"}
        )
        assert "lies ahead" in page.text
        assert 'value="Bea"' in page.text
        declared = {"declared_by": "Bea Example", "declared_on": "2026-11-21"}
        assert by_engineer.post(issue(case), {**sent, **declared}).status_code == 302

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
    def test_senseless_posts_are_answered_in_words(self, by_engineer, case, sent):
        page = by_engineer.post(issue(case), sent)
        assert page.status_code == 422
        assert not FrozenPack.objects.exists()

    def test_the_next_revision_says_what_changed(self, by_engineer, engineer, case):
        make_pack(case, by=engineer)
        page = by_engineer.get(preview(case))
        assert "Nothing has changed since revision 1" in page.text
        assert issue(case) not in page.text
        Unit.objects.filter(premises=case.premises, label="bat-1").update(rated_w=3000)
        page = by_engineer.get(preview(case))
        assert "What changed since revision 1" in page.text
        assert "Registered capacity of bat-1: 3.6 kW → 3 kW" in page.text
        by_engineer.post(issue(case), form_of(page))
        second = FrozenPack.objects.get(revision=2)
        text = by_engineer.get(reverse("pack", args=[second.key])).text
        assert "Registered capacity of bat-1: 3.6 kW → 3 kW" in text
        assert second.replaces is not None
        first = by_engineer.get(reverse("pack", args=[second.replaces.key])).text
        assert "Revision 2 has taken its place" in first


def test_a_decided_finding_no_longer_stands_in_the_way(by_engineer, engineer, office):
    case = make_premises(by=office, **island())
    make_verdict(case, "can-island", by=engineer)
    page = by_engineer.get(preview(case))
    assert page.context["obstacles"] == []
    assert "Looked at on site." in page.text

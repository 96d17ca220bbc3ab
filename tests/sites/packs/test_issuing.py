"""Issuing: what stands in the way, what is frozen, and one revision only."""

import datetime as dt
import json
import re

import pytest
from django.db import IntegrityError, transaction
from django_tasks_db.models import DBTaskResult

from connections.facts.canonical import canonical, digest
from connections.pack.case import InstallerDeclaration
from connections.pack.content import read_pack, write_pack
from connections.pack.pack_error import PackError
from connections.rulebook.keeping import rulebook_from
from sites.house.refusals import FactsChangedError, NotAllowedError
from sites.house.uploads import examine
from sites.packs.models import FrozenPack, PersonalPart
from sites.packs.reading.packs import annex_of, draft_of, pack_of
from sites.packs.writing.issuing import (
    IssuedMeanwhileError,
    ObstructedError,
    PreviewSeen,
    issue_pack,
)
from sites.premises.models import Party, Premises, Unit
from sites.premises.writing.doubles import say_of_doubles
from sites.premises.writing.site_files import import_site_file
from sites.review.writing.attachments import add_attachment
from sites.review.writing.verdicts import decide_finding
from sites.rulebook.models import KeptRulebook
from tests.sites.making import home, make_person, make_premises
from tests.sites.review.making import (
    acts,
    capped,
    columns_of,
    commission,
    make_pdf,
    preview_of,
    seen_of,
    small,
)

DECLARED = InstallerDeclaration("Bea Example", dt.date(2026, 11, 20))


def issue(case, by, *, seen=None, declaration=None):
    return issue_pack(
        application=case.application,
        seen=seen or preview_of(case),
        declaration=declaration,
        by=by,
    )


def refusals(case, by, **more):
    with pytest.raises(ObstructedError) as refused:
        issue(case, by, **more)
    return [(obstacle.where, obstacle.path) for obstacle in refused.value.obstacles]


def personal_of(pack):
    personal = pack_of(pack).personal
    assert personal is not None
    return personal.values


class TestInTheWay:
    def test_only_an_engineer_issues(self, plain, office):
        with pytest.raises(NotAllowedError):
            issue(plain, office)
        assert not FrozenPack.objects.exists()

    def test_a_missing_decision_is_named(self, flagged, engineer):
        assert refusals(flagged, engineer) == [("finding", "findings.can-island")]

    def test_a_stop_is_named_first(self, engineer):
        case = capped(supply={"phases": 1, "cutout_a": 80, "earthing": "TN-C-S", "looped": True})
        assert refusals(case, engineer) == [
            ("finding", "findings.export-above-cap"),
            ("finding", "findings.looped-service"),
        ]

    def test_a_decision_on_other_facts_is_a_missing_one(self, flagged, engineer):
        seen = seen_of(flagged, "can-island")
        decide_finding(case=flagged, seen=seen, reason="Fitted.", by=engineer)
        Unit.objects.filter(premises=flagged.premises, label="bat-1").update(can_island=None)
        assert refusals(flagged, engineer) == [("finding", "findings.can-island")]

    def test_nothing_is_left_of_a_refused_issue(self, flagged, engineer):
        before = preview_of(flagged).version
        refusals(flagged, engineer)
        assert preview_of(flagged).version == before
        assert not FrozenPack.objects.exists()
        assert not KeptRulebook.objects.exists()
        assert not DBTaskResult.objects.exists()
        assert acts(flagged) == []

    def test_a_notification_wants_date_serials_and_declaration(self, engineer):
        case = small()
        assert refusals(case, engineer) == [
            ("case", ""),
            ("sheet", "units[0].commissioned_on"),
            ("sheet", "units[0].serials"),
            ("here", "declaration"),
        ]
        commission(case, commissioned_on=dt.date(2026, 11, 20), serials="SN-1")
        assert refusals(case, engineer) == [("here", "declaration")]
        pack = issue(case, engineer, declaration=DECLARED)
        assert pack_of(pack).procedure.kind == "notification"

    def test_a_site_without_a_procedure_is_not_issued(self, engineer):
        case = small(rated_w=None)
        found = refusals(case, engineer)
        assert ("finding", "findings.undetermined") in found
        assert ("review", "procedure") in found


class TestFrozen:
    @pytest.fixture
    def pack(self, plain, engineer):
        return issue(plain, engineer)

    def test_what_is_frozen_is_what_was_seen(self, plain, engineer):
        seen = preview_of(plain)
        pack = issue(plain, engineer, seen=seen)
        assert pack.technical_digest == seen.content
        assert (pack.revision, pack.replaces, pack.changes) == (1, None, [])
        assert pack.issued_by == engineer
        assert acts(plain) == ["pack.issued"]

    def test_each_part_has_the_digest_of_its_content(self, pack):
        whole = pack_of(pack)
        assert whole.issued
        assert digest(whole.technical) == pack.technical_digest
        assert digest(whole.personal) == pack.personal_digest
        assert whole.digests.pack == pack.digest
        assert read_pack(write_pack(whole)) == whole
        assert bytes(pack.personal.content) == canonical(whole.personal)

    def test_the_technical_part_names_nobody(self, pack):
        personal = personal_of(pack)
        technical = bytes(pack.technical).decode()
        assert "Invented Customer" in personal["customer.name"]
        for item in ("customer.name", "customer.email", "premises.address_lines"):
            for case in personal[item].split("\n"):
                assert case not in technical

    def test_the_salt_is_its_own(self, plain, engineer, office):
        """Two packs of one customer: the same values, and digests that don't tell so."""
        first = issue(plain, engineer)
        Unit.objects.filter(premises=plain.premises, label="pv-1").update(rated_w=3000)
        second = issue(plain, engineer)
        values = [personal_of(pack) for pack in (first, second)]
        assert values[0] == values[1]
        assert first.personal_digest != second.personal_digest
        salts = {first.personal.salt, second.personal.salt}
        assert len(salts) == 2
        assert all(re.fullmatch(r"[0-9a-f]{32}", salt) for salt in salts)

    def test_the_rulebook_is_kept_whole_and_once(self, pack, engineer):
        kept = KeptRulebook.objects.get()
        decision = pack_of(pack).technical.decided
        assert pack.rulebook == kept
        assert kept.digest == decision.rulebook.digest
        book = rulebook_from(bytes(kept.content), decision.on_date)
        assert book.digest == kept.digest
        issue(make_premises(), engineer)
        assert KeptRulebook.objects.count() == 1

    def test_rows_that_change_later_do_not_reach_it(self, pack, plain):
        before = columns_of(pack)
        Premises.objects.update(name="Another house")
        Party.objects.update(name="Somebody else")
        Unit.objects.update(rated_w=1000)
        assert columns_of(pack) == before
        assert "Another house" not in str(pack_of(FrozenPack.objects.get()))

    def test_a_stored_pack_that_was_touched_is_not_taken(self, pack):
        touched = bytes(pack.technical).replace(b"3600", b"3500")
        FrozenPack.objects.update(technical=touched)
        with pytest.raises(PackError, match="changed after freezing"):
            pack_of(FrozenPack.objects.get())

    def test_a_stored_personal_part_that_was_touched_is_not_taken(self, pack):
        part = PersonalPart.objects.get()
        part.content = bytes(part.content).replace(b"Customer", b"Cuckoo")
        part.save()
        with pytest.raises(PackError, match="changed after freezing"):
            pack_of(FrozenPack.objects.select_related("personal").get())

    def test_its_print_is_asked_for_in_the_same_transaction(self, pack):
        (task,) = DBTaskResult.objects.all()
        assert task.status == "READY"
        assert task.args_kwargs == {"args": [pack.digest], "kwargs": {}}
        assert pack.pdf_sha256 == ""

    def test_a_decision_stands_in_it_with_its_reason(self, flagged, engineer):
        seen = seen_of(flagged, "can-island")
        decide_finding(case=flagged, seen=seen, reason="Changeover is fitted.", by=engineer)
        frozen = issue(flagged, engineer)
        annex = annex_of(frozen)
        assert annex is not None
        assert "Changeover is fitted." in write_pack(annex).decode()
        # Whether plant can run as an island concerns the network, so that its reader is told too.
        assert "Changeover is fitted." in write_pack(pack_of(frozen)).decode()
        assert str(engineer) not in write_pack(pack_of(frozen)).decode()
        assert str(engineer) in write_pack(annex).decode()

    def test_files_stand_in_it_under_their_digests(self, plain, engineer):
        upload = examine(name="sheet.pdf", content=make_pdf(pages=2), title="Data sheet")
        attachment = add_attachment(case=plain, upload=upload, by=engineer)
        pack = issue(plain, engineer)
        (file,) = pack_of(pack).technical.attachments
        assert (file.sha256, file.title, file.pages) == (attachment.sha256, "Data sheet", 2)
        assert pack.attachments[0]["sha256"] == attachment.sha256


class TestRevisions:
    def test_the_next_one_names_what_it_replaces_and_what_changed(self, plain, engineer):
        first = issue(plain, engineer)
        Unit.objects.filter(premises=plain.premises, label="bat-1").update(rated_w=3000)
        second = issue(plain, engineer)
        assert (second.revision, second.replaces) == (2, first)
        assert "Registered capacity of bat-1: 3.6 kW → 3 kW" in second.changes
        assert pack_of(second).replaces == 1
        assert [change.words for change in pack_of(second).changes] == second.changes

    def test_nothing_changed_is_nothing_to_issue(self, plain, engineer):
        issue(plain, engineer)
        with pytest.raises(ObstructedError, match="Nothing has changed since revision 1"):
            issue(plain, engineer)
        assert FrozenPack.objects.count() == 1

    def test_what_is_named_of_personal_values_is_that_they_changed(self, plain, engineer):
        issue(plain, engineer)
        Party.objects.filter(premises=plain.premises, part="customer").update(name="Zebedee Flint")
        second = issue(plain, engineer)
        assert second.changes == ["Customer, name: changed"]
        assert "Zebedee" not in bytes(second.technical).decode()

    def test_a_second_click_issues_nothing_more(self, plain, engineer):
        seen = preview_of(plain)
        first = issue(plain, engineer, seen=seen)
        with pytest.raises(IssuedMeanwhileError) as refused:
            issue(plain, engineer, seen=seen)
        assert refused.value.pack == first
        assert FrozenPack.objects.count() == 1
        assert DBTaskResult.objects.count() == 1

    def test_a_second_engineer_on_the_same_page_issues_nothing_more(self, plain, engineer):
        seen = preview_of(plain)
        first = issue(plain, engineer, seen=seen)
        with pytest.raises(IssuedMeanwhileError) as refused:
            issue(plain, make_person("engineer"), seen=seen)
        assert refused.value.pack == first

    def test_what_was_not_seen_is_not_issued(self, plain, engineer):
        seen = preview_of(plain)
        Unit.objects.filter(premises=plain.premises, label="pv-1").update(rated_w=3100)
        with pytest.raises(FactsChangedError):
            issue(plain, engineer, seen=seen)
        upload = examine(name="sheet.pdf", content=make_pdf())
        seen = preview_of(plain)
        add_attachment(case=plain, upload=upload, by=engineer)
        with pytest.raises(FactsChangedError):
            issue(plain, engineer, seen=seen)
        assert not FrozenPack.objects.exists()

    def test_a_made_up_version_issues_nothing(self, plain, engineer):
        seen = preview_of(plain)
        for wrong in (
            PreviewSeen(seen.version + 1, seen.revision, seen.content),
            PreviewSeen(0, 0, seen.content),
            PreviewSeen(seen.version, seen.revision, "0" * 64),
        ):
            with pytest.raises(FactsChangedError):
                issue(plain, engineer, seen=wrong)

    def test_the_database_itself_takes_no_revision_twice(self, plain, engineer):
        pack = issue(plain, engineer)
        columns = columns_of(pack)
        for own in ("id", "key", "digest", "personal_id"):
            columns.pop(own)
        with pytest.raises(IntegrityError), transaction.atomic():
            FrozenPack.objects.create(**columns, digest="f" * 64)


def test_several_premises_in_one_application_are_refused_in_words(plain, engineer, office):
    other = make_premises(by=office)
    plain.application.cases.create(premises=other.premises, design=other.design)
    draft = draft_of(plain.application)
    assert "2 premises" in draft.fault
    assert [obstacle.where for obstacle in draft.obstacles] == ["nowhere"]


def test_plant_of_linked_premises_is_counted_before_a_pack_is_issued(plain, office):
    """Two units of 3.6 kW run at premises with the same MPAN: 7.2 kW that this pack lacks."""
    site = home()
    (number,) = plain.premises.supply_numbers.all()
    site["premises"]["supply_numbers"] = [
        {"use": "import", "scheme": "gb13", "value": number.value}
    ]
    for unit in site["units"]:
        unit["status"] = "existing"
    done = import_site_file(name="a", content=json.dumps(site).encode(), by=office)
    running = done.premises
    assert running is not None
    assert not any("same supply" in each.says for each in draft_of(plain.application).obstacles)

    say_of_doubles(premises=plain.premises, said={running.key: True}, by=office)
    (obstacle,) = draft_of(plain.application).obstacles
    assert obstacle.says == (
        f"Count the plant of {running} here: it is behind the same supply (7.2 kW)."
    )
    say_of_doubles(premises=plain.premises, said={running.key: False}, by=office)
    assert draft_of(plain.application).obstacles == ()

"""An issued pack: its page, its print, its data, and checking it again."""

import json
import re
from uuid import uuid4

import pytest
from django.core.management import call_command
from django.urls import reverse
from msgspec import structs

from connections.pack.content import read_pack
from connections.rulebook.keeping import content_of, rulebook_from, with_digest
from sites.house import storage
from sites.house.models import Event
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import pack_of
from sites.packs.tasks import rebuild_pack
from sites.rulebook.models import KeptRulebook
from tests.sites.making import make_pack, make_premises


@pytest.fixture
def pack(office, engineer):
    return make_pack(make_premises(by=office), by=engineer)


@pytest.fixture
def printed(pack):
    """As if printed; the bytes are made up."""
    sha256 = storage.store(b"%PDF-1.7 made up")
    FrozenPack.objects.filter(pk=pack.pk).update(pdf_sha256=sha256, printed_at=pack.issued_at)
    pack.refresh_from_db()
    return pack


def whole(answer):
    """The bytes of a file that is handed out; read to its end it closes by itself."""
    return b"".join(answer.streaming_content)


def page_of(pack, name="pack", *more):
    return reverse(name, args=[pack.key, *more])


class TestStatus:
    def test_it_asks_again_only_while_it_is_being_printed(self, by_office, pack):
        text = by_office.get(page_of(pack, "pack-status")).text
        assert 'hx-trigger="every 2s"' in text
        FrozenPack.objects.update(pdf_sha256="a" * 64, printed_at=pack.issued_at)
        text = by_office.get(page_of(pack, "pack-status")).text
        assert 'hx-trigger="every 2s"' in text  # the annex is still printed
        FrozenPack.objects.update(annex_pdf_sha256="b" * 64)
        text = by_office.get(page_of(pack, "pack-status")).text
        assert "hx-trigger" not in text
        assert page_of(pack, "pack-print") in text

    def test_a_failure_says_why_and_has_a_button(self, by_office, pack):
        FrozenPack.objects.update(print_fault="The font is <missing>.")
        text = by_office.get(page_of(pack, "pack-status")).text
        assert "hx-trigger" not in text
        assert "The font is &lt;missing&gt;." in text
        answer = by_office.post(page_of(pack, "pack-print-again"))
        assert answer.status_code == 302
        assert "being printed" in by_office.get(page_of(pack)).text

    def test_a_print_that_does_not_come_can_be_asked_for_again(self, by_office, pack, monkeypatch):
        assert page_of(pack, "pack-print-again") not in by_office.get(page_of(pack)).text
        monkeypatch.setattr("sites.packs.pages.issued.LONG_S", -1)
        assert page_of(pack, "pack-print-again") in by_office.get(page_of(pack)).text

    @pytest.mark.django_db(transaction=True)
    def test_the_page_follows_the_worker(self, by_office, pack, quick_print):
        assert "being printed" in by_office.get(page_of(pack)).text
        call_command("db_worker", batch=True, startup_delay=False, verbosity=0, reload=False)
        text = by_office.get(page_of(pack)).text
        assert "Download the PDF" in text
        answer = by_office.get(page_of(pack, "pack-print"))
        assert whole(answer).startswith(b"%PDF-1.7")


class TestPrint:
    def test_it_is_a_file_to_save_under_a_plain_name(self, by_office, printed):
        answer = by_office.get(page_of(printed, "pack-print"))
        assert answer["Content-Type"] == "application/pdf"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert re.fullmatch(
            r'attachment; filename="[A-Za-z0-9-]+-revision-1\.pdf"',
            answer["Content-Disposition"],
        )
        assert whole(answer) == b"%PDF-1.7 made up"

    def test_asked_for_again_it_is_not_sent_again(self, by_office, printed):
        first = by_office.get(page_of(printed, "pack-print"))
        whole(first)
        for tag in (first["ETag"], f'"other", {first["ETag"]}', f"W/{first['ETag']}"):
            again = by_office.get(page_of(printed, "pack-print"), headers={"if-none-match": tag})
            if tag.startswith("W/"):
                whole(again)
                continue
            assert again.status_code == 304
            assert again["ETag"] == first["ETag"]
            assert not again.content

    def test_it_costs_few_queries(self, by_office, printed, django_assert_max_num_queries):
        # Visit, person, whether the firm requires a code, roles, pack.
        with django_assert_max_num_queries(5):
            whole(by_office.get(page_of(printed, "pack-print")))

    def test_a_print_that_is_gone_from_the_store_says_so(self, by_office, printed):
        storage.remove(printed.pdf_sha256)
        answer = by_office.get(page_of(printed, "pack-print"))
        assert answer.status_code == 404
        assert "has to come back from a backup" in answer.text

    def test_one_that_is_erased_is_gone(self, by_office, printed):
        FrozenPack.objects.update(personal=None)
        answer = by_office.get(page_of(printed, "pack-print"))
        assert answer.status_code == 410


class TestData:
    def test_it_is_the_frozen_content(self, by_office, pack):
        answer = by_office.get(page_of(pack, "pack-data"))
        assert answer["Content-Type"] == "application/json"
        assert read_pack(answer.content) == pack_of(pack)

    def test_of_an_erased_pack_it_is_what_is_left(self, by_office, pack):
        FrozenPack.objects.update(personal=None)
        plain = json.loads(by_office.get(page_of(pack, "pack-data")).content)
        assert plain["personal"] is None
        assert plain["digests"]["pack"] == pack.digest


class TestPage:
    def test_it_says_what_was_issued(self, by_office, pack, engineer):
        text = by_office.get(page_of(pack)).text
        for piece in (
            pack.digest,
            pack.technical_digest,
            pack.personal_digest,
            pack.rulebook_id,
            f"by {engineer}",
            "EREC G98 Issue 2 and EREC G99 Issue 2",
        ):
            assert piece in text

    def test_content_that_was_touched_is_not_trusted(self, by_office, pack):
        FrozenPack.objects.update(technical=bytes(pack.technical).replace(b"3600", b"3500"))
        page = by_office.get(page_of(pack))
        assert page.status_code == 200
        assert "can&#x27;t be trusted" in page.text or "can't be trusted" in page.text

    def test_an_erased_pack_has_a_page(self, by_engineer, pack):
        FrozenPack.objects.update(personal=None)
        text = by_engineer.get(page_of(pack)).text
        assert "The customer was erased from this pack" in text
        assert page_of(pack, "pack-erase") not in text


class TestRebuilding:
    @pytest.mark.django_db(transaction=True)
    def test_the_same_bytes_are_told_as_that(self, by_office, pack, quick_print):
        call_command("db_worker", batch=True, startup_delay=False, verbosity=0, reload=False)
        answer = by_office.post(page_of(pack, "pack-rebuild"))
        assert answer.status_code == 302
        page = by_office.get(answer["Location"])
        assert "It is being rendered again" in page.text
        part = by_office.get(answer["Location"], headers={"hx-request": "true"}).text
        assert 'hx-trigger="every 2s"' in part
        assert "<html" not in part
        call_command("db_worker", batch=True, startup_delay=False, verbosity=0, reload=False)
        part = by_office.get(answer["Location"], headers={"hx-request": "true"}).text
        assert "The same, byte by byte." in part
        assert "hx-trigger" not in part

    @pytest.mark.django_db(transaction=True)
    def test_other_bytes_are_told_as_that(self, by_office, printed, quick_print):
        address = by_office.post(page_of(printed, "pack-rebuild"))["Location"]
        call_command(
            "db_worker", batch=True, startup_delay=False, verbosity=0, reload=False, max_tasks=2
        )
        assert "The bytes differ." in by_office.get(address).text

    def test_without_a_print_there_is_nothing_to_compare(self, by_office, pack):
        page = by_office.post(page_of(pack, "pack-rebuild"), follow=True)
        assert "There is no print of this pack to compare with." in page.text

    def test_the_task_of_another_pack_is_not_found(self, by_office, printed, engineer):
        other = make_pack(make_premises(), by=engineer)
        task = rebuild_pack.enqueue(other.digest)
        assert by_office.get(page_of(printed, "pack-rebuilt", task.id)).status_code == 404
        assert by_office.get(page_of(printed, "pack-rebuilt", uuid4())).status_code == 404


class TestRechecking:
    def test_the_same_follows_under_the_same_rules(self, by_office, pack):
        text = by_office.get(page_of(pack, "pack-recheck")).text
        assert "The same would follow today." in text

    def test_other_rules_are_told_by_what_differs(self, by_office, pack):
        """As if it had been issued when connect and notify had no limit on the sum of a phase."""
        whole = pack_of(pack)
        kept = KeptRulebook.objects.get()
        book = rulebook_from(bytes(kept.content), whole.technical.decided.on_date)
        at = next(n for n, row in enumerate(book.table) if row.id == "g98-single")
        first = book.table[at]
        without = tuple(c for c in first.when if c.fact != "largest_phase_sum")
        assert without != first.when
        other = with_digest(
            structs.replace(
                book,
                table=(
                    *book.table[:at],
                    structs.replace(first, when=without),
                    *book.table[at + 1 :],
                ),
            )
        )
        KeptRulebook.objects.create(
            digest=other.digest, content=content_of(other), first_used_at=kept.first_used_at
        )
        FrozenPack.objects.update(rulebook=other.digest)
        text = by_office.get(page_of(pack, "pack-recheck")).text
        assert "Today it would differ." in text
        assert "Rulebook: " in text
        assert "Procedure: Connect and notify →" in text
        # Under that rulebook the frozen decision does not follow, and that is said too.
        assert "decides the frozen facts differently" in text

    def test_it_changes_nothing(self, by_office, pack):
        before = FrozenPack.objects.values().get()
        events = Event.objects.count()
        by_office.get(page_of(pack, "pack-recheck"))
        assert FrozenPack.objects.values().get() == before
        assert Event.objects.count() == events

    def test_an_erased_pack_can_be_rechecked(self, by_office, pack):
        FrozenPack.objects.update(personal=None)
        assert "The same would follow today." in by_office.get(page_of(pack, "pack-recheck")).text

    def test_a_kept_rulebook_that_was_touched_is_said_in_words(self, by_office, pack):
        KeptRulebook.objects.update(content=b"{}")
        page = by_office.get(page_of(pack, "pack-recheck"))
        assert page.status_code == 200
        assert "It can't be decided again" in page.text or "can&#x27;t" in page.text


class TestErasing:
    def test_it_is_confirmed_by_the_reference(self, by_engineer, pack):
        page = by_engineer.get(page_of(pack, "pack-erase"))
        assert "This can't be taken back." in page.text
        page = by_engineer.post(page_of(pack, "pack-erase"), {"reference": "another"})
        assert page.status_code == 422
        assert "Nothing was erased" in page.text
        assert FrozenPack.objects.get().personal is not None
        answer = by_engineer.post(
            page_of(pack, "pack-erase"), {"reference": f" {pack.reference.lower()} "}
        )
        assert answer.status_code == 302
        assert FrozenPack.objects.get().personal is None
        assert "The customer was erased" in by_engineer.get(page_of(pack)).text
        assert "done already" in by_engineer.get(page_of(pack, "pack-erase")).text

    def test_the_office_does_not_even_see_the_question(self, by_office, pack):
        assert by_office.get(page_of(pack, "pack-erase")).status_code == 403
        answer = by_office.post(page_of(pack, "pack-erase"), {"reference": pack.reference})
        assert answer.status_code == 403
        assert FrozenPack.objects.get().personal is not None
        assert page_of(pack, "pack-erase") not in by_office.get(page_of(pack)).text

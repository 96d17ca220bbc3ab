"""What is printed beside a pack: the annex for the firm's file, and the notice of demand."""

import datetime as dt
import io

import pikepdf
import pytest
from django.urls import reverse

from connections.pack.content import read_annex, without_personal, write_pack
from sites.cases.models import Case
from sites.house import storage
from sites.house.refusals import RefusedError
from sites.house.uploads import examine
from sites.management.commands.sweep_files import named_files
from sites.packs.models import FrozenPack
from sites.packs.reading.packs import annex_of, draft_of, notice_of
from sites.packs.writing.erasing import erase_personal_parts
from sites.packs.writing.printing import print_frozen, printed_again
from sites.premises.models import Load, Unit
from sites.review.writing.attachments import add_attachment
from tests.sites.making import make_pack
from tests.sites.review.making import commission, make_pdf, small


@pytest.fixture
def told(engineer, quick_print):
    """A notification with a heat pump that the operator is told of, printed with all beside it."""
    case = small()
    Load.objects.create(
        premises=case.premises, design=case.design, name="Heat pump", kind="heat-pump", w=3000,
        phases="L1", place=9,
    )  # fmt: skip
    day = dt.date(2026, 11, 20)
    commission(case, commissioned_on=day, serials="SN-1")
    Case.objects.filter(pk=case.pk).update(declared_by="Ada Vole", declared_on=day)
    case.refresh_from_db()
    pack = make_pack(case, by=engineer)
    print_frozen(pack.digest)
    return FrozenPack.objects.select_related("personal", "application").get(pk=pack.pk)


@pytest.fixture
def printed(plain, engineer, quick_print):
    pack = make_pack(plain, by=engineer)
    print_frozen(pack.digest)
    return FrozenPack.objects.select_related("personal", "application").get(pk=pack.pk)


def test_the_annex_is_frozen_and_printed_under_its_hash(plain, engineer):
    pack = make_pack(plain, by=engineer)
    print_frozen(pack.digest)
    printed = FrozenPack.objects.select_related("personal").get(pk=pack.pk)
    assert printed.annex_pdf_sha256
    pdf = pikepdf.open(io.BytesIO(storage.stored(printed.annex_pdf_sha256)))
    frozen = annex_of(printed)
    assert frozen is not None
    assert pdf.attachments["annex.json"].get_file().read_bytes() == write_pack(frozen)
    assert frozen.pack == printed.digest
    assert {printed.pdf_sha256, printed.annex_pdf_sha256} <= named_files()
    assert printed_again(printed.digest)["same"]


def test_reasons_and_certainty_stand_in_the_annex_alone(printed):
    annex = bytes(printed.annex).decode()
    assert "from memory" in annex
    for word in ("from memory", "common practice", "certainty", "not_because"):
        assert word not in bytes(printed.technical).decode()


def test_the_firm_downloads_it_and_reads_that_it_need_not_be_sent(printed, office, client):
    client.force_login(office)
    page = client.get(reverse("pack", args=[printed.key])).content.decode()
    assert "For the firm’s file: send it only if you choose" in page
    answer = client.get(reverse("annex-print", args=[printed.key]))
    content = b"".join(answer.streaming_content)
    answer.close()
    assert content.startswith(b"%PDF-")
    assert "annex" in answer["Content-Disposition"]


def test_erasing_takes_the_annex_with_the_pack(
    printed, plain, engineer, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        erase_personal_parts(application=plain.application, by=engineer)
    assert not storage.path_of(printed.annex_pdf_sha256).exists()
    erased = FrozenPack.objects.select_related("personal").get(pk=printed.pk)
    kept = annex_of(erased)
    assert kept is not None
    assert kept.personal is None
    assert read_annex(bytes(erased.annex)) == without_personal(kept)


def test_a_row_from_before_says_that_it_has_none(printed, office, client):
    FrozenPack.objects.update(annex=b"", annex_digest="", annex_pdf_sha256="")
    client.force_login(office)
    page = client.get(reverse("pack", args=[printed.key])).content.decode()
    assert "from before there were annexes" in page


def test_a_file_of_a_model_that_is_gone_is_asked_about(plain, engineer):
    unit = Unit.objects.get(premises=plain.premises, label="bat-1")
    unit.model = "XJ-4000"
    unit.save()
    upload = examine(name="XJ 4000.pdf", content=make_pdf(pages=1), title="Data sheet")
    add_attachment(case=plain, upload=upload, by=engineer)
    make_pack(plain, by=engineer)
    assert draft_of(plain.application).stale == ()
    unit.model = "XJ-5000"
    unit.save()
    (stale,) = draft_of(plain.application).stale
    assert (stale.file.name, stale.model) == ("XJ 4000.pdf", "XJ-4000")
    with pytest.raises(RefusedError, match=r"They are: XJ 4000\.pdf\.") as refused:
        make_pack(plain, by=engineer)
    assert refused.value.field == "keeps_files"
    assert make_pack(plain, by=engineer, keeps_files=True).revision == 2


def test_a_notice_of_demand_is_frozen_beside_the_pack(told, client, office):
    notice = notice_of(told)
    assert notice is not None
    assert notice.procedure.kind == "demand-notice"
    assert storage.stored(told.notice_pdf_sha256).startswith(b"%PDF-")
    client.force_login(office)
    answer = client.get(reverse("notice-print", args=[told.key]))
    answer.close()
    assert "notice-of-demand" in answer["Content-Disposition"]

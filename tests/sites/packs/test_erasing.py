"""Erasing a customer: what goes, and that all else stays as it was."""

import pytest

from connections.pack.content import digest_faults
from sites.house import storage
from sites.house.models import Event
from sites.house.refusals import NotAllowedError, RefusedError
from sites.packs.models import FrozenPack, PersonalPart
from sites.packs.reading.packs import draft_of, pack_of
from sites.packs.writing.erasing import erase_personal_parts
from sites.packs.writing.printing import print_frozen
from sites.premises.models import Unit
from tests.sites.making import make_pack, make_premises
from tests.sites.review.making import acts, columns_of


@pytest.fixture
def two(plain, engineer):
    """Two revisions, both printed (their bytes made up)."""
    packs = [make_pack(plain, by=engineer)]
    Unit.objects.filter(premises=plain.premises, label="bat-1").update(rated_w=3000)
    packs.append(make_pack(plain, by=engineer))
    for pack in packs:
        sha256 = storage.store(f"print of {pack.revision}".encode())
        FrozenPack.objects.filter(pk=pack.pk).update(pdf_sha256=sha256)
    return FrozenPack.objects.select_related("personal").order_by("revision")


@pytest.fixture
def now(django_capture_on_commit_callbacks):
    """`now(act)`: what the act does after its commit is done too."""

    def run(act):
        with django_capture_on_commit_callbacks(execute=True):
            return act()

    return run


def test_personal_part_salt_and_prints_go(plain, engineer, two, now):
    files = [pack.pdf_sha256 for pack in two]
    erased = now(lambda: erase_personal_parts(application=plain.application, by=engineer))
    assert erased == 2
    assert not PersonalPart.objects.exists()
    assert not any(storage.path_of(file).exists() for file in files)


def test_all_else_stays_as_it_was(plain, engineer, two, now):
    before = [columns_of(pack) for pack in two]
    now(lambda: erase_personal_parts(application=plain.application, by=engineer))
    after = [columns_of(pack) for pack in two]
    for columns in before:
        columns["personal_id"] = None
    assert after == before


def test_the_digests_still_prove_what_is_left(plain, engineer, two, now):
    digests = [pack.digest for pack in two]
    now(lambda: erase_personal_parts(application=plain.application, by=engineer))
    for pack, digest in zip(two.all(), digests, strict=True):
        whole = pack_of(pack)
        assert whole.personal is None
        assert digest_faults(whole) == ()
        assert whole.digests.pack == digest


def test_no_word_of_the_customer_is_left_in_what_was_issued(plain, engineer, two, now, store):
    name = str(plain.premises.parties.get(part="customer").name)
    now(lambda: erase_personal_parts(application=plain.application, by=engineer))
    rows = str(list(FrozenPack.objects.values())) + str(list(Event.objects.values()))
    assert name not in rows
    assert not [path for path in store.glob("*/*") if name.encode() in path.read_bytes()]


def test_an_event_for_each_revision(plain, engineer, two, now):
    now(lambda: erase_personal_parts(application=plain.application, by=engineer))
    assert acts(plain)[-2:] == ["personal.erased", "personal.erased"]


def test_another_application_is_not_touched(plain, engineer, office, two, now):
    other = make_pack(make_premises(by=office), by=engineer)
    now(lambda: erase_personal_parts(application=plain.application, by=engineer))
    assert FrozenPack.objects.get(pk=other.pk).personal is not None


def test_files_stay_if_the_transaction_does_not(plain, engineer, two, monkeypatch):
    def fails(*_args, **_more):
        raise RuntimeError

    monkeypatch.setattr("sites.packs.writing.erasing.record", fails)
    with pytest.raises(RuntimeError):
        erase_personal_parts(application=plain.application, by=engineer)
    assert all(storage.stored(pack.pdf_sha256) for pack in two)
    assert PersonalPart.objects.count() == 2


def test_the_office_erases_nobody(plain, office, two):
    with pytest.raises(NotAllowedError):
        erase_personal_parts(application=plain.application, by=office)
    assert PersonalPart.objects.count() == 2


def test_twice_there_is_nothing_left_to_erase(plain, engineer, two, now):
    now(lambda: erase_personal_parts(application=plain.application, by=engineer))
    with pytest.raises(RefusedError):
        erase_personal_parts(application=plain.application, by=engineer)


def test_a_print_that_ends_after_the_erasing_leaves_nothing(
    plain, engineer, two, now, monkeypatch, store
):
    FrozenPack.objects.update(pdf_sha256="")
    last = two.last()

    def erased_meanwhile(*_args):
        now(lambda: erase_personal_parts(application=plain.application, by=engineer))
        return b"%PDF-late"

    monkeypatch.setattr("connections.documents.render.render", erased_meanwhile)
    late = print_frozen(last.digest)
    assert FrozenPack.objects.get(pk=last.pk).pdf_sha256 == ""
    assert not storage.path_of(late).exists()


def test_a_print_that_ends_late_is_forgotten_beside_packs_that_stay(
    plain, office, engineer, two, now, monkeypatch
):
    other = make_pack(make_premises(by=office), by=engineer)  # keeps its personal part
    FrozenPack.objects.update(pdf_sha256="")
    last = two.last()

    def erased_meanwhile(*_args):
        now(lambda: erase_personal_parts(application=plain.application, by=engineer))
        return b"%PDF-late"

    monkeypatch.setattr("connections.documents.render.render", erased_meanwhile)
    assert not storage.path_of(print_frozen(last.digest)).exists()
    assert FrozenPack.objects.get(pk=other.pk).personal is not None


def test_erasing_leaves_no_open_preview_as_it_was(plain, engineer, two, now):
    plain.application.refresh_from_db()
    before = plain.application.version
    now(lambda: erase_personal_parts(application=plain.application, by=engineer))
    plain.application.refresh_from_db()
    assert plain.application.version == before + 1


def test_the_next_revision_says_that_personal_values_cant_be_compared(plain, engineer, two, now):
    now(lambda: erase_personal_parts(application=plain.application, by=engineer))
    plain.premises.parties.update(name="Somebody Else")
    Unit.objects.filter(premises=plain.premises, label="bat-1").update(rated_w=2500)
    changes = draft_of(plain.application).changes
    assert [change for change in changes if "were erased" in change.now]
    assert not [change for change in changes if "Customer" in change.fact]

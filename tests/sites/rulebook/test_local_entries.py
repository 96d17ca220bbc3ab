"""Entering, ending and loading local entries, and what they do to decisions."""

import datetime as dt

import pytest
from django.db import IntegrityError, transaction
from django.db.models.deletion import ProtectedError
from msgspec import structs

from connections.rulebook.keeping import content_of, rulebook_from
from connections.rulebook.rulebook_errors import RulebookError
from sites.deciding.reading.deciding import assessor, decide_case
from sites.house.models import Event
from sites.house.refusals import NotAllowedError, RefusedError
from sites.looks.reading.local_preview import first_day, preview
from sites.looks.writing.local_entries import add_entry, end_entry, load_entries
from sites.packs.reading.rechecking import recheck
from sites.packs.writing.issuing import issue_pack
from sites.rulebook.models import LocalEntry
from sites.rulebook.models.local_entry import NeverChangedError
from sites.rulebook.reading.local_entries import (
    dump_entries,
    entries_there,
    listed_entries,
    local_parts,
)
from sites.rulebook.writing.local_entries import ended
from tests.sites.making import make_premises
from tests.sites.review.making import preview_of
from tests.sites.rulebook.making import FROM, balance, cap, condition, reading

# Most of it is about rows; its engineer brings a client along.
pytestmark = pytest.mark.database

DAY = dt.date(2026, 11, 25)
AREA = "gb-12"


def enter(entry, engineer, area=AREA):
    return add_entry(area=area, entry=entry, reason="The operator wrote.", by=engineer)


def north(**changes):
    """The plain home (7.2 kW) on the feeder of the cap."""
    premises = {"postcode": "EX2 2AA", "feeder": "north  7", "licence_area": AREA}
    return make_premises(premises=premises, **changes)


def found(line, finding):
    decision = decide_case(line).decision
    assert decision is not None
    return [each for each in decision.findings if each.id == finding]


def test_who_when_why_and_the_event(engineer):
    row = enter(reading(), engineer)
    assert (row.entered_by, row.reason, row.until, row.ended_at) == (
        engineer, "The operator wrote.", None, None,
    )  # fmt: skip
    event = Event.objects.get(subject_key=row.key)
    assert (event.act, event.data["about"]) == ("local.entered", "sgi-2.sum_reading")


def test_only_an_engineer_enters_ends_and_loads(engineer, office):
    row = enter(reading(), engineer)
    with pytest.raises(NotAllowedError):
        enter(balance(), office)
    with pytest.raises(NotAllowedError):
        end_entry(row=row, last_day=DAY, reason="No.", by=office)
    with pytest.raises(NotAllowedError):
        load_entries(content=dump_entries(AREA).encode(), name="a.toml", by=office)
    assert LocalEntry.objects.count() == 1


def test_a_reason_is_wanted(engineer):
    with pytest.raises(RefusedError) as refused:
        add_entry(area=AREA, entry=reading(), reason=" ", by=engineer)
    assert refused.value.field == "reason"


def test_rows_are_never_changed_or_deleted(engineer):
    row = enter(reading(), engineer)
    row.note = "Other."
    with pytest.raises(NeverChangedError):
        row.save()
    with pytest.raises(NeverChangedError):
        row.delete()
    with pytest.raises(NeverChangedError):
        LocalEntry.objects.all().delete()
    with pytest.raises(ProtectedError):
        engineer.delete()
    with pytest.raises(IntegrityError), transaction.atomic():
        # Half an end is refused by the database itself.
        LocalEntry.objects.update(ended_at="2026-11-25T00:00:00Z")


@pytest.mark.parametrize(
    ("entry", "fault"),
    [
        (reading(about="sgi-2.sum_readin"), "no edition has a value of this key"),
        (balance("20 kW"), "`value`"),
        (balance("20"), "`value`"),
        (reading(note="no full stop"), "`note` must be a sentence"),
        (reading(document="nowhere", source={}), "not in the register"),
        (reading(until=FROM - dt.timedelta(days=400), since=FROM), None),
        (cap(content={"feeders": None, "postcode_sectors": None}), "for where it holds"),
        (cap(content={"postcode_sectors": ["EX1"]}), "is not a postcode sector"),
        (cap("5 A", per="total", unit="mA"), "a current is one of a phase"),
        (condition(content={"when": [{"fact": "colour", "is": True}]}), "is not a fact"),
        (condition(content={"severity": "never"}), "`severity` is"),
    ],
)
def test_the_door_refuses_what_it_refuses_in_files(engineer, entry, fault):
    if fault is None:  # an entry that never holds is nothing to check
        assert enter(entry, engineer).pk
        return
    with pytest.raises(RulebookError, match=fault):
        enter(entry, engineer)
    assert not LocalEntry.objects.exists()


def test_an_unknown_area_is_refused(engineer):
    with pytest.raises(RulebookError, match="there is no licence area"):
        enter(reading(), engineer, area="gb-99")


@pytest.mark.parametrize(
    ("first", "second", "fault"),
    [
        (reading(), reading(since=FROM + dt.timedelta(days=1)), "end that first"),
        (reading(until=DAY), reading(since=DAY), "end that first"),
        (cap(), cap(since=DAY), "end that first"),
        (cap(), cap(about="other", content={"postcode_sectors": None}), "feeder North 7 already"),
        (cap(), cap(about="other", content={"feeders": None}), "postcode sector EX1 1 already"),
    ],
)
def test_two_of_one_thing_on_one_day_are_refused(engineer, first, second, fault):
    enter(first, engineer)
    with pytest.raises((RulebookError, RefusedError), match=fault):
        enter(second, engineer)
    assert LocalEntry.objects.count() == 1


def test_after_the_end_of_one_comes_the_next(engineer):
    row = enter(balance("20 A"), engineer)
    end_entry(row=row, last_day=DAY, reason="A new letter.", by=engineer)
    enter(balance("10 A", since=DAY + dt.timedelta(days=1)), engineer)
    (part,) = local_parts()
    amounts = [part.values["balance.limit"].on(DAY + dt.timedelta(days=n)) for n in (0, 1)]
    assert [spell and spell.amount for spell in amounts] == [20_000, 10_000]


def test_an_areas_entry_lies_above_the_firms(engineer):
    enter(balance("20 A"), engineer, area="")
    enter(balance("10 A"), engineer)
    for area, ma in (("gb-12", 10_000), ("gb-14", 20_000)):
        line = make_premises(premises={"licence_area": area})
        book = decide_case(line).book
        assert book is not None
        assert book.whole("balance.limit") == ma


def test_every_decision_of_a_page_has_them(engineer):
    line = north()
    assert found(line, "local-export-cap") == []
    row = enter(cap(), engineer)
    (stop,) = found(line, "local-export-cap")
    # 2 x 3.6 kW = 7.2 kW against 5 kW: 2.2 kW too much.
    assert (stop.severity, stop.margin, stop.margin_unit) == ("stops", -2200, "W")
    assert stop.sources == ("Letter of the network operator (invented)",)
    end_entry(row=row, last_day=FROM - dt.timedelta(days=1), reason="By mistake.", by=engineer)
    assert found(line, "local-export-cap") == []


def test_a_kept_rulebook_has_caps_and_conditions(engineer):
    enter(cap(), engineer)
    enter(condition(), engineer)
    book = decide_case(north()).book
    assert book is not None
    assert [one.id for one in book.caps] == ["north-7"]
    again = rulebook_from(content_of(book), book.on_date)
    assert (again.caps, again.conditions, again.digest) == (
        book.caps, book.conditions, book.digest,
    )  # fmt: skip


def test_the_assessor_costs_one_query_and_is_new_after_an_entry(
    engineer, django_assert_num_queries
):
    enter(reading(), engineer)
    before = assessor()
    with django_assert_num_queries(1):
        assert assessor() is before
    enter(balance(), engineer)
    assert assessor() is not before


def test_what_is_rolled_back_leaves_nothing_behind(engineer):
    line = north()
    with transaction.atomic():
        enter(cap(), engineer)
        assert found(line, "local-export-cap")
        transaction.set_rollback(True)
    assert found(line, "local-export-cap") == []


@pytest.mark.parametrize("area", ["", AREA])
def test_loading_what_was_dumped_gives_the_same_entries(engineer, area):
    entries = [
        reading(note='With "quotes", a \\ and\ta tab.'),
        balance("20 A", until=DAY),
        balance("10 A", since=DAY + dt.timedelta(days=1), certainty="from memory", clause="p. 2"),
        cap(),
        cap(until=None, about="ex-2", per="phase", unit="mA", limit="16 A",
            content={"feeders": None, "postcode_sectors": ["EX2 2", "EX2 3"]}),
        condition(),
        condition(about="always", content={"when": [], "attachments": []}),
    ]  # fmt: skip
    for entry in entries:
        enter(entry, engineer, area=area)
    text = dump_entries(area)
    with transaction.atomic():
        before = sorted(entries_there(), key=str)
        loaded = load_entries(content=text.encode(), name="again.toml", by=engineer)
        assert (loaded.rows, loaded.there) == ((), 7)
    table = LocalEntry._meta.db_table
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {table}")
    loaded = load_entries(content=text.encode(), name="again.toml", by=engineer)
    assert str(loaded) == "7 entries entered"
    assert sorted(entries_there(), key=str) == before
    assert dump_entries(area) == text


def test_loading_is_all_or_nothing(engineer):
    enter(balance("20 A"), engineer)
    text = dump_entries(AREA).replace("20 A", "10 A")
    text += (
        '\n[[export_cap]]\nid = "one"\nsays = "One."\neverywhere = true\nlimit = "1 kW"\n'
        'unit = "W"\nper = "total"\nchecked = 2026-11-25\nsource = { document = "letter-7" }\n'
    )
    with pytest.raises(RulebookError, match=r"value balance\.limit: there is an entry for it"):
        load_entries(content=text.encode(), name="more.toml", by=engineer)
    assert LocalEntry.objects.count() == 1


def test_a_file_of_several_areas_makes_an_entry_for_each(engineer):
    enter(balance(), engineer)
    text = dump_entries(AREA).replace('["gb-12"]', '["gb-12", "gb-14"]')
    loaded = load_entries(content=text.encode(), name="two.toml", by=engineer)
    assert (str(loaded), [row.area for row in loaded.rows]) == (
        "1 entry entered, 1 was there already",
        ["gb-14"],
    )


def test_another_document_under_a_taken_id_gets_one_of_its_own(engineer):
    enter(balance(), engineer)
    other = {"title": "Another letter (invented)", "kind": "letter", "has_clauses": False}
    row = enter(reading(source=other), engineer)
    assert row.document.startswith("letter-7-")
    assert len(local_parts()[0].values) == 2


@pytest.mark.parametrize(
    ("until", "last", "fault"),
    [
        (DAY, DAY, "It ends on 25 November 2026 anyway"),
        (None, FROM - dt.timedelta(days=2), "the earliest last day is the day before"),
    ],
)
def test_a_last_day_that_it_can_not_have(engineer, until, last, fault):
    row = enter(reading(until=until), engineer)
    with pytest.raises(RefusedError, match=fault):
        end_entry(row=row, last_day=last, reason="Over.", by=engineer)


def test_the_day_before_its_first_takes_an_entry_back(engineer):
    row = enter(reading(), engineer)
    over = end_entry(row=row, last_day=FROM - dt.timedelta(days=1), reason="Wrong.", by=engineer)
    assert over.until == FROM - dt.timedelta(days=1)
    assert local_parts() == ()


def test_an_entry_ends_once(engineer):
    row = enter(reading(), engineer)
    end_entry(row=row, last_day=DAY, reason="Over.", by=engineer)
    with pytest.raises(RefusedError, match="was ended already"):
        end_entry(row=row, last_day=FROM, reason="Over.", by=engineer)


def test_the_list_by_where_entries_stand(engineer, django_assert_num_queries):
    enter(reading(), engineer)
    enter(balance(since=DAY + dt.timedelta(days=30)), engineer)
    row = enter(cap(), engineer)
    end_entry(row=row, last_day=DAY - dt.timedelta(days=1), reason="Over.", by=engineer)
    with django_assert_num_queries(1):
        listed = listed_entries(DAY)
    told = [[one.row.about for one in some] for some in (
        listed.in_force, listed.to_come, listed.ended,
    )]  # fmt: skip
    assert told == [["sgi-2.sum_reading"], ["balance.limit"], ["north-7"]]


def test_the_preview_tells_before_and_after_and_saves_nothing(engineer):
    on_it, beside = (
        north(),
        make_premises(premises={"licence_area": AREA, "feeder": "South 1", "postcode": "EX9 9ZZ"}),
    )
    told = preview([(AREA, cap())], on=first_day([FROM]))
    assert (told.sites, told.looked_at) == (2, 2)
    (changed,) = told.changed
    assert changed.reference == on_it.premises.reference != beside.premises.reference
    (change,) = changed.changes
    assert change.sentence.startswith(
        "New finding: Stops the application. The export figure of 7.2"
    )
    assert not LocalEntry.objects.exists()


def test_the_preview_of_an_end(engineer):
    north()
    row = enter(cap(), engineer)
    over = ended(row, DAY)
    told = preview([(AREA, over)], on=DAY + dt.timedelta(days=1))
    assert [c.how for site in told.changed for c in site.changes] == ["gone"]


def test_the_queries_of_a_preview_do_not_grow(engineer, django_assert_max_num_queries):
    for _ in range(12):
        north()
    with django_assert_max_num_queries(20):
        told = preview([(AREA, cap())], on=DAY)
    assert len(told.changed) == 12


def test_an_entry_can_not_be_changed_by_replacing_it(engineer):
    row = enter(reading(), engineer)
    there = entries_there()[0][1]
    assert there == reading()
    with pytest.raises(RefusedError, match="is there already"):
        enter(structs.replace(there), engineer)
    assert LocalEntry.objects.get() == row


def test_an_issued_pack_keeps_the_entries_that_it_was_issued_under(plain, engineer):
    address = structs.replace(
        reading(),
        about="operator.submission_address",
        content={**reading().content, "value": "connections@operator.example"},
    )
    row = enter(address, engineer)
    enter(
        cap("50 kW", content={"feeders": None, "postcode_sectors": None, "everywhere": True}),
        engineer,
    )
    pack = issue_pack(
        application=plain.application, seen=preview_of(plain), declaration=None, by=engineer
    )
    end_entry(row=row, last_day=FROM - dt.timedelta(days=1), reason="By mistake.", by=engineer)
    pack.refresh_from_db()
    book = rulebook_from(bytes(pack.rulebook.content), DAY)
    assert book.digest == pack.rulebook.digest
    assert book.text("operator.submission_address") == "connections@operator.example"
    assert [(one.id, one.layer) for one in book.caps] == [("north-7", "firm-gb-12")]
    assert "Send it to connections@operator.example." in bytes(pack.annex).decode()
    told = recheck(pack, on=DAY)
    assert told.as_frozen
    assert told.differences[0].fact == "Rulebook"
    assert told.differences[1].fact == "Step"  # the address is gone from it
    assert "connections@operator.example" not in told.differences[1].now

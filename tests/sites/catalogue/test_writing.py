"""The equipment catalogue: adding, changing and taking out models; who comes second is told. All
makers and models are invented."""

import pytest
from django.db import IntegrityError

from sites.catalogue import writing as services
from sites.catalogue.models import Equipment
from sites.catalogue.reading import catalogue
from sites.catalogue.refusals import ModelChangedError, ModelTakenError
from sites.catalogue.writing import add_equipment, change_equipment, mark_of, take_out_equipment
from sites.deciding.reading.deciding import decide_case
from sites.house.models import Event
from tests.sites.making import home, make_person, make_premises

pytestmark = pytest.mark.django_db


def wanted(**changes):
    """An invented hybrid inverter of 3.6 kW."""
    return Equipment(
        **{
            "maker": "Invented Works",
            "model": "H3.6",
            "source": "pv+storage",
            "rated_w": 3600,
            "type_tested": "full",
            "standard": "G98",
            **changes,
        }
    )


@pytest.fixture
def office():
    return make_person()


@pytest.fixture
def row(office):
    return add_equipment(wanted=wanted(), by=office)


def acts(by):
    return list(Event.objects.filter(actor_key=by.key).values_list("act", "subject"))


def test_each_act_leaves_its_event(office, row):
    change_equipment(row=row, wanted=wanted(rated_w=3680), seen=mark_of(row), by=office)
    held = Equipment.objects.get()
    assert (held.key, held.rated_w) == (row.key, 3680)
    take_out_equipment(row=held, seen=mark_of(held), by=office)
    assert not Equipment.objects.exists()
    assert sorted(acts(office)) == [
        ("equipment.added", "Invented Works H3.6"),
        ("equipment.changed", "Invented Works H3.6"),
        ("equipment.taken-out", "Invented Works H3.6"),
    ]
    changed = Event.objects.get(act="equipment.changed")
    assert changed.data == {"fields": ["rated_w"]}
    assert changed.subject_key == row.key


def test_no_act_is_done_where_its_event_fails(office, row, monkeypatch):
    def fails(*_args, **_more):
        raise RuntimeError("the log is full")

    monkeypatch.setattr(services, "record", fails)
    before = list(Equipment.objects.values())
    with pytest.raises(RuntimeError):
        add_equipment(wanted=wanted(model="H5"), by=office)
    with pytest.raises(RuntimeError):
        change_equipment(row=row, wanted=wanted(rated_w=1), seen=mark_of(row), by=office)
    with pytest.raises(RuntimeError):
        take_out_equipment(row=row, seen=mark_of(row), by=office)
    assert list(Equipment.objects.values()) == before


def test_what_changes_nothing_is_no_event(office, row):
    change_equipment(row=row, wanted=wanted(), seen=mark_of(row), by=office)
    assert acts(office) == [("equipment.added", "Invented Works H3.6")]


@pytest.mark.parametrize("same", [{}, {"maker": "INVENTED works", "model": "h3.6"}])
def test_a_model_is_there_once(office, row, same):
    with pytest.raises(ModelTakenError, match="already"):
        add_equipment(wanted=wanted(**same), by=office)
    other = add_equipment(wanted=wanted(model="H5"), by=office)
    with pytest.raises(ModelTakenError):
        change_equipment(row=other, wanted=wanted(**same), seen=mark_of(other), by=office)
    # Its own name in other letters is no other model.
    change_equipment(row=row, wanted=wanted(maker="INVENTED WORKS"), seen=mark_of(row), by=office)
    assert set(Equipment.objects.values_list("maker", flat=True)) == {
        "INVENTED WORKS",
        "Invented Works",
    }


def test_a_model_added_in_the_same_moment_is_said(office, monkeypatch):
    def too_late(*_args, **_more):
        raise IntegrityError

    monkeypatch.setattr(Equipment, "save", too_late)
    with pytest.raises(ModelTakenError):
        add_equipment(wanted=wanted(), by=office)


def test_who_comes_second_is_told_and_changes_nothing(office, row):
    seen = mark_of(row)
    change_equipment(row=row, wanted=wanted(rated_w=3000), seen=seen, by=office)
    with pytest.raises(ModelChangedError):
        change_equipment(row=row, wanted=wanted(rated_w=5000), seen=seen, by=office)
    with pytest.raises(ModelChangedError):
        take_out_equipment(row=row, seen=seen, by=office)
    held = Equipment.objects.get()
    assert held.rated_w == 3000
    take_out_equipment(row=held, seen=mark_of(held), by=office)
    with pytest.raises(ModelChangedError):
        change_equipment(row=held, wanted=wanted(), seen=mark_of(held), by=office)


def test_the_mark_is_another_with_every_field():
    marks = {mark_of(wanted())}
    for changes in (
        {"maker": "Other"}, {"model": "H4"}, {"source": "pv"}, {"rated_w": None}, {"phases": 3},
        {"design_w": 1}, {"rated_va": 1}, {"rated_ma": 1}, {"type_tested": "no"},
        {"standard": ""}, {"type_test_reference": "INV/9"}, {"can_island": True},
    ):  # fmt: skip
        marks.add(mark_of(wanted(**changes)))
    assert len(marks) == 13


def fits(line):
    decision = decide_case(line, remedies=True).decision
    assert decision is not None
    return {name for remedy in decision.remedies for name in remedy.fits}


def test_remedies_name_what_fits_while_it_is_there(office, row):
    units = home()["units"]
    for unit in units:
        unit["rated_w"] = 5000
    line = make_premises(units=units)
    assert fits(line) == {"Invented Works H3.6"}
    # Without its registered capacity nobody can tell.
    held = change_equipment(row=row, wanted=wanted(rated_w=None), seen=mark_of(row), by=office)
    assert fits(line) == set()
    assert catalogue() == ()
    held = change_equipment(row=held, wanted=wanted(), seen=mark_of(held), by=office)
    take_out_equipment(row=held, seen=mark_of(held), by=office)
    assert fits(line) == set()

"""Two versions of a sheet side by side, and taking theirs box by box."""

from pathlib import Path

from connections.assessing import Assessor
from sites.premises.forms.conflict import TAKEN_OUT, differences, take_theirs
from sites.premises.forms.sheet import Sheet
from sites.premises.forms.written import keys_of, raw_of
from sites.premises.models import Unit
from sites.premises.writing.importing import rows_from_site

SITE = Assessor().site(
    next(path for path in Path("sites/desk/demonstration").glob("02*.json")).read_bytes()
)


def versions():
    """The sheet as opened, theirs and mine, all alike; change what a test is about."""
    rows = rows_from_site(SITE)
    return rows, raw_of(rows), raw_of(rows), raw_of(rows)


def said(found):
    return {
        difference.label: (difference.theirs, difference.mine, difference.who)
        for difference in found
    }


def choose(mine, found, version):
    for difference in found:
        mine[difference.place.choice] = [version]
    return mine


def test_alike_sheets_have_no_differences():
    _rows, opened, theirs, mine = versions()
    assert differences(mine, theirs, opened) == []


def test_who_changed_what():
    _rows, opened, theirs, mine = versions()
    theirs["customer-name"] = ["Their name"]
    mine["premises-postcode"] = ["ZZ1 1AA"]
    theirs["supply-looped"], mine["supply-looped"] = ["yes"], [""]
    theirs["proposed-units-0-rated_w"] = ["0.4"]
    found = differences(mine, theirs, opened)
    assert said(found) == {
        "Customer, name": ("Their name", "Barnaby Quill (invented)", "they"),
        "Premises, postcode": ("ZZ1 2BB", "ZZ1 1AA", "you"),
        "Supply, looped service": ("yes", "", "both"),
        "Unit micro-1, registered capacity": ("0.4 kW", "0.35 kW", "they"),
    }
    assert {difference.label: difference.takes_theirs for difference in found} == {
        "Customer, name": True,
        "Premises, postcode": False,
        "Supply, looped service": False,
        "Unit micro-1, registered capacity": True,
    }
    assert {difference.who for difference in differences(mine, theirs, None)} == {"unknown"}


def test_rows_are_matched_by_key_whatever_their_place():
    rows, opened, _theirs, mine = versions()
    rows.proposed.units.reverse()
    assert differences(mine, raw_of(rows), opened) == []


def test_a_row_that_they_added_and_one_that_they_took_out():
    rows, opened, _theirs, mine = versions()
    kept = rows.proposed.units[0]
    rows.proposed.units = [kept, Unit(label="pv-9", source="pv", rated_w=1000, phases="L1")]
    theirs = raw_of(rows)
    found = differences(mine, theirs, opened)
    labels = said(found)
    assert labels["Unit pv-9"][1:] == (TAKEN_OUT, "they")
    assert labels["Unit bat-1"][0] == TAKEN_OUT
    assert labels["Unit bat-1"][2] == "they"
    taken = take_theirs(choose(mine, found, "theirs"), theirs)
    sheet = Sheet(taken, keys_of(rows))
    assert [unit.label for unit in sheet.rows.proposed.units] == ["micro-1", "pv-9"]
    assert {unit.key for unit in sheet.rows.proposed.units} == {
        unit.key for unit in rows.proposed.units
    }
    own = take_theirs(choose(mine, found, "mine"), theirs)
    sheet = Sheet(own, keys_of(rows))
    assert [unit.label for unit in sheet.rows.proposed.units] == ["micro-1", "bat-1"]


def test_a_row_that_i_took_out_and_they_changed():
    _rows, opened, theirs, mine = versions()
    mine["proposed-units-1-gone"] = ["on"]
    assert [each.who for each in differences(mine, theirs, opened)] == ["you"]
    theirs["proposed-units-1-rated_w"] = ["5"]
    (found,) = differences(mine, theirs, opened)
    assert (found.mine, found.who) == (TAKEN_OUT, "both")
    taken = take_theirs(choose(dict(mine), [found], "theirs"), theirs)
    assert taken["proposed-units-1-rated_w"] == ["5"]
    assert "proposed-units-1-gone" not in taken
    kept = take_theirs(choose(dict(mine), [found], "mine"), theirs)
    assert kept["proposed-units-1-gone"] == ["on"]


def test_taking_theirs_box_by_box():
    _rows, opened, theirs, mine = versions()
    theirs["customer-name"] = ["Their name"]
    theirs["premises-name"] = ["Their house"]
    mine["premises-name"] = ["My house"]
    del theirs["existing-export-basis"]
    found = differences(mine, theirs, opened)
    for difference in found:
        wants = "theirs" if difference.label == "Customer, name" else "mine"
        mine[difference.place.choice] = [wants]
    assert [d.takes_theirs for d in differences(mine, theirs, opened)].count(True) == 1
    taken = take_theirs(mine, theirs)
    assert taken["customer-name"] == ["Their name"]
    assert taken["premises-name"] == ["My house"]
    assert not any(name.startswith("take|") for name in taken)


def test_choices_that_make_no_sense_are_passed_over():
    _rows, _opened, theirs, mine = versions()
    for choice in (
        "take|",
        "take|a|b",
        "take|nothing||x",
        "take|proposed-units|zz|rated_w",
        "take||||",
    ):
        mine[choice] = ["theirs"]
    before = {name: values for name, values in mine.items() if not name.startswith("take|")}
    assert take_theirs(mine, theirs) == before

"""Certificates on the survey sheet: three boxes for the first, a line of text for each other."""

import datetime as dt
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from connections.facts.reading import read_site, write_site
from connections.facts.site import Certificate
from sites.catalogue.boxes import CERTIFICATE_BOXES, RATED_BOXES
from sites.catalogue.models import Certified
from sites.house.boxes.typed import Typed
from sites.premises.forms.box_places import box_at
from sites.premises.forms.plant import UnitForm
from sites.premises.forms.sheet import Raw, Sheet
from sites.premises.forms.written import raw_of
from sites.premises.models import Unit
from sites.premises.reading.site_rows import site_from
from sites.premises.writing.importing import rows_from_site

BASE: Raw = {
    "case-reference": ["certificates"],
    "supply-phases": ["1"],
    "proposed-units-TOTAL_FORMS": ["1"],
    "proposed-units-0-source": ["pv"],
    "proposed-units-0-rated_w": ["3.68"],
}
BOX = RATED_BOXES["further_certificates"]


def typed(**boxes: str) -> Sheet:
    return Sheet({**BASE, **{f"proposed-units-0-{name}": [text] for name, text in boxes.items()}})


def test_several_certificates_go_there_and_back():
    lines = "G99; fully; REF 2; 5 kW; 31/12/2027\nG83; partly"
    sheet = typed(
        type_tested="full", standard="G98", type_test_reference="REF 1",
        certificate_rated_w="3.68", certificate_until="01/06/2028", further_certificates=lines,
    )  # fmt: skip
    assert [fault.message for fault in sheet.faults()] == []
    site = site_from(sheet.rows)
    assert site.units[0].standards == (
        Certificate("G98", "REF 1", "full", 3680, dt.date(2028, 6, 1)),
        Certificate("G99", "REF 2", "full", 5000, dt.date(2027, 12, 31)),
        Certificate("G83", type_tested="part"),
    )
    read = read_site(write_site(site))
    assert read == site
    back = raw_of(rows_from_site(read))
    assert back["proposed-units-0-further_certificates"] == [lines]
    assert back["proposed-units-0-certificate_until"] == ["01/06/2028"]
    assert Sheet(back).rows.proposed.units[0].standards == sheet.rows.proposed.units[0].standards


def test_without_a_word_there_is_no_certificate():
    assert typed().rows.proposed.units[0].standards is None


def test_a_further_one_alone_is_the_first_of_the_file():
    site = site_from(typed(further_certificates="G98; fully").rows)
    assert site.units[0].standards == (Certificate("G98", type_tested="full"),)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("G98; wholly", "is none of fully, partly, no"),
        ("G98; fully; REF; 5 apples", "apples"),
        ("G98; fully; REF; ; 31/13/27", "no date"),
        ("G98; fully; REF; 5 kW; 31/12/2027; more", "too many parts"),
        ("; ;", "says nothing; write standard"),
        ("\n".join(["G98"] * 10), "at most 9"),
    ],
)
def test_a_line_that_is_none_says_what_is_wrong(line, says):
    with pytest.raises(ValidationError, match=says):
        BOX.clean(Typed(line))


def test_the_order_in_which_facts_are_set_changes_nothing():
    facts: dict[str, Any] = {
        "further_certificates": [{"standard": "G99"}],
        "type_tested": "full",
        "certificate_until": dt.date(2028, 6, 1),
        "standard": "G98",
    }
    rows: list[Certified] = [Unit(), Unit()]
    for row, names in zip(rows, (list(facts), list(reversed(facts))), strict=True):
        for name in names:
            setattr(row, name, facts[name])
    assert rows[0].standards == rows[1].standards == [
        {"type_tested": "full", "valid_until": "2028-06-01", "standard": "G98"},
        {"standard": "G99"},
    ]  # fmt: skip


def test_a_missing_fact_of_a_certificate_has_its_box():
    rows = typed(standard="G98").rows
    boxes = {name: f"id_proposed-units-0-{name}" for name in UnitForm.base_fields}
    for fact, box in CERTIFICATE_BOXES.items():
        assert box_at(f"units[0].standards[0].{fact}", rows) == boxes[box]
        assert box_at(f"units[0].standards[1].{fact}", rows) == boxes["further_certificates"]
    assert box_at("units[0].standards", rows) == boxes["standard"]
    assert set(CERTIFICATE_BOXES) == set(Certificate.__struct_fields__)

"""The published JSON Schemas, read by a second implementation of draft 2020-12."""

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from connections.facts.canonical import canonical
from connections.facts.reading import read_site, write_site
from connections.facts.schema import decision_schema, site_schema
from connections.facts.site_file_error import SiteFileError
from connections.remedies.search import search
from connections.rules.decide import decide
from connections.rules.writing import write_decision
from tests.site_files import DEMO, book, cells, file, limit, read, unit

SITE = Draft202012Validator(site_schema(), format_checker=Draft202012Validator.FORMAT_CHECKER)
DECISION = Draft202012Validator(decision_schema())


@pytest.mark.parametrize("schema", [site_schema(), decision_schema()], ids=["site", "decision"])
def test_a_schema_is_valid_and_says_its_draft(schema):
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)
    json.dumps(schema)


def test_there_are_demo_sites():
    assert len(DEMO) >= 12


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_demo_sites_and_their_decisions_fit(path):
    content = json.loads(path.read_bytes())
    SITE.validate(content)
    site = read_site(path.read_bytes())
    SITE.validate(json.loads(write_site(site)))
    answer = decide(site, book())
    for explain in (False, True):
        made = write_decision(
            answer, explain=explain, remedies=search(site, answer, book()).remedies
        )
        DECISION.validate(json.loads(canonical(made)))


# Sites whose decisions between them fill every kind of entry of a decision.
MORE = [
    file(unit("a", None, type_tested=None, standard=None)),
    file(unit("a", 5000), cells(rated_w=5000)),
    file(unit("a", 4600, source="storage"), unit("b", 345, quantity=10)),
    file(unit("a", 6900), cells(rated_w=6900), limits=limit(32_000)),
    file(unit("a", 20_000, kind="synchronous", type_tested="no", quantity=3), phases=3),
    file(unit(status="removed")),
    file(unit("a", 3680, phases=["L2"])),
    file(
        unit("a", 50_000_000, phases=["L1", "L2", "L3"]), phases=3, supply={"voltage_level": "HV"}
    ),
]


@pytest.mark.parametrize("number", range(len(MORE)))
def test_other_decisions_fit(number):
    site = read(MORE[number])
    answer = decide(site, book())
    made = write_decision(answer, explain=True, remedies=search(site, answer, book()).remedies)
    DECISION.validate(json.loads(canonical(made)))


def without(content: dict[str, Any], key: str) -> dict[str, Any]:
    return {name: value for name, value in content.items() if name != key}


REFUSED_BY_BOTH = [
    without(file(), "format"),
    without(file(), "reference"),
    without(file(), "on_date"),
    without(file(), "supply"),
    without(file(), "units"),
    {**file(), "units": []},
    {**file(), "format": "site/2"},
    {**file(), "colour": "red"},
    file(without(unit(), "rated_w")),
    file(unit(rated_w=-1)),
    file(unit(rated_w=10**9 + 1)),
    file({**unit(), "rated_w": 3680.5}),
    file({**unit(), "rated_w": "3680"}),
    file(unit(phases=[])),
    file(unit(phases=["L4"])),
    file(unit(kw=4)),
    file(supply={"phases": 4}),
    file(limits={"export": {"value": 1}}),
    file(caps=[{"on": "export", "value": None, "basis": "w_total"}]),
    file(nearby={"premises": -1}),
    file(unit(commissioned_on="2016")),
    file(unit(dc_inputs=[{"max_mv": 600_000}])),
    file(arrays=[{"unit_id": "inv-1", "strings": "2"}]),
    file(unit(commissioned_on="June 2016")),
    file(unit(commissioned_on="2016-06-31")),
    file(storage=[{"unit_id": "inv-1", "commissioned_on": 2016}]),
]


@pytest.mark.parametrize("number", range(len(REFUSED_BY_BOTH)))
def test_schema_and_reader_refuse_the_same(number):
    content = REFUSED_BY_BOTH[number]
    assert not SITE.is_valid(content)
    with pytest.raises(SiteFileError):
        read_site(json.dumps(content))


READ_BY_BOTH = [
    file(),
    file(unit(q_var=-1149)),
    file(unit(rated_w=None, design_w=None)),
    file(unit(rated_w=0)),
    file(limits=None, nearby=None, premises=None),
    file(limits=limit(None)),
    file(unit(commissioned_on="2016-06-14", status="existing")),
    file(unit(commissioned_on="2016-06")),
    file(arrays=[{"unit_id": "inv-1", "commissioned_on": "2016-06"}]),
    file(storage=[{"unit_id": "inv-1", "commissioned_on": None}]),
    file(arrays=[{"unit_id": "inv-1", "strings": 2, "panel": {"voc_ppm_k": -2700}}]),
    file(arrays=[{"unit_id": "inv-1", "strings": [{"tracker": 1, "in_series": 11}]}]),
    file(unit(dc_inputs=[{"tracker": 1, "max_mv": 600_000}])),
]


@pytest.mark.parametrize("number", range(len(READ_BY_BOTH)))
def test_schema_and_reader_take_the_same(number):
    SITE.validate(READ_BY_BOTH[number])
    read(READ_BY_BOTH[number])
